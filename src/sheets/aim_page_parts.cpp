#include "aim_page.hpp"

namespace duskcast {

// Red on black leaves the eye adapted: rods hardly see beyond 620 nm. #ff4d40 on #000 is 6.7 : 1, #c23a30 4.5
// : 1 at large sizes.
const char* const aim_style = R"(<style>
:root { --ink: #ff4d40; --quiet: #d0453a; --paper: #000; --line: #5c1a15; --mark: #2a0b09; }
:root.light { --ink: #16181d; --quiet: #4d5058; --paper: #fff; --line: #b9b5aa; --mark: #f1eee6; }
* { box-sizing: border-box; margin: 0; padding: 0; }
body { font: 19px/1.4 system-ui, "Segoe UI", Roboto, "DejaVu Sans", sans-serif; color: var(--ink); background: var(--paper);
  padding: 12px 14px 150px; max-width: 640px; margin: 0 auto; }
h1 { font-size: 19px; font-weight: 400; color: var(--quiet); }
h2 { font-size: 34px; line-height: 1.1; margin: 10px 0 2px; }
.lamp { font-size: 22px; }
dl { margin-top: 10px; }
dt { color: var(--quiet); font-size: 15px; margin-top: 10px; }
dd { font-size: 22px; line-height: 1.3; }
dd.big { font-size: 34px; font-weight: 700; line-height: 1.15; }
dd small { display: block; font-size: 17px; font-weight: 400; }
table { width: 100%; border-collapse: collapse; margin-top: 4px; }
td, th { text-align: left; padding: 8px 4px; border-top: 1px solid var(--line); font-weight: 400; vertical-align: middle; }
td.value { font-size: 24px; font-weight: 700; white-space: nowrap; }
td.value small { display: block; font-size: 14px; font-weight: 400; }
input, textarea, button { font: inherit; color: var(--ink); background: var(--mark); border: 1px solid var(--line); border-radius: 8px; }
input { width: 5.2em; min-height: 48px; padding: 4px 8px; font-size: 20px; }
textarea { width: 100%; min-height: 64px; padding: 8px; }
button { min-height: 52px; padding: 6px 14px; }
button[aria-pressed="true"] { background: var(--ink); color: var(--paper); font-weight: 700; }
button:focus-visible, input:focus-visible, textarea:focus-visible { outline: 3px solid var(--ink); outline-offset: 2px; }
.photo { display: block; border: 1px solid var(--line); border-radius: 8px; background: var(--mark); padding: 12px 14px; margin-top: 10px; }
.photo input { position: absolute; width: 1px; min-height: 1px; height: 1px; opacity: 0; padding: 0; }
.photo:focus-within { outline: 3px solid var(--ink); outline-offset: 2px; }
.shot img { display: block; width: 100%; margin-top: 8px; }
.shot a { color: var(--ink); }
:root:not(.light) .shot img { filter: grayscale(1) sepia(1) hue-rotate(-50deg) saturate(6) brightness(.6); }
.boxes, .no-script .photo { display: none; }
.row { display: flex; flex-wrap: wrap; gap: 10px; margin-top: 12px; }
.row button { flex: 1; }
.say { color: var(--quiet); font-size: 16px; min-height: 1.4em; margin-top: 6px; }
nav { position: fixed; left: 0; right: 0; bottom: 0; background: var(--paper); border-top: 1px solid var(--line);
  padding: 10px 14px calc(10px + env(safe-area-inset-bottom)); }
nav div { display: flex; gap: 10px; max-width: 612px; margin: 0 auto; }
nav button { flex: 1; min-height: 64px; font-size: 21px; }
nav .done { flex: 1.6; }
article { display: none; }
article.here { display: block; }
.no-script article { display: block; border-bottom: 2px solid var(--line); padding-bottom: 14px; }
.no-script nav, .no-script .tools { display: none; }
footer { color: var(--quiet); font-size: 14px; margin-top: 24px; }
@media print {
  @page { margin: 13mm 12mm; }
  :root, :root.light { --ink: #111; --quiet: #444; --paper: #fff; --line: #999; --mark: #fff; }
  body { font-size: 9.5pt; padding: 0; max-width: none; columns: 2; column-gap: 8mm; }
  header { column-span: all; }
  footer { font-size: 8pt; break-inside: avoid; margin-top: 3mm; }
  h1 { font-size: 11pt; color: #111; font-weight: 700; }
  h2 { font-size: 13pt; margin: 0; }
  .lamp { font-size: 9.5pt; }
  article { display: block; break-inside: avoid; border-top: .4mm solid #111; padding: 2mm 0 3mm; }
  dl { margin: 1mm 0 0; display: grid; grid-template-columns: 17mm 1fr; gap: .3mm 2mm; }
  dt { margin: 0; font-size: 8.5pt; }
  dd, dd.big { font-size: 9.5pt; }
  dd small { display: block; font-size: 9pt; }
  td, th { padding: .8mm .5mm; font-size: 8.5pt; }
  td.value { font-size: 9.5pt; } td.value small { display: block; font-size: 8.5pt; }
  input { width: 14mm; min-height: 5mm; border: 0; border-bottom: .3mm solid #111; border-radius: 0; padding: 0; font-size: 9pt; }
  textarea { min-height: 6mm; height: 6mm; border: 0; border-bottom: .3mm solid #111; border-radius: 0; resize: none; overflow: hidden; }
  .boxes { display: block; font-size: 8.5pt; margin-top: 1.5mm; }
  .count, nav, .tools, .say, .photo, .shot, button { display: none; }
}
</style>
)";

const char* const aim_script = R"(
'use strict';
document.body.classList.remove('no-script');
const cards = [...document.querySelectorAll('article')];
const key = 'aim-' + document.body.dataset.version;
let state = {};
try { state = JSON.parse(localStorage.getItem(key)) || {}; } catch { say('Nothing can be kept in this browser: save the readings before you close it.'); }
function say(text) { document.getElementById('said').textContent = text; }
function keep() { try { localStorage.setItem(key, JSON.stringify(state)); } catch { /* said at the start */ } }
let here = Math.min(Math.max(0, state.here || 0), cards.length - 1);
function show(index) {
  here = Math.min(Math.max(0, index), cards.length - 1);
  cards.forEach((card, i) => card.classList.toggle('here', i === here));
  state.here = here; keep(); draw();
  window.scrollTo(0, 0);
}
function of(card) { return state[card.dataset.fixture] = state[card.dataset.fixture] || {}; }
// A photo is kept beside the notes, small enough for a night's worth of them.
function photoKey(card) { return key + '-photo-' + card.dataset.fixture; }
function showPhoto(card, url) {
  const shot = card.querySelector('.shot'), picture = document.createElement('img'), link = document.createElement('a');
  picture.src = url; picture.alt = 'Photo of ' + card.dataset.fixture;
  link.href = url; link.download = card.dataset.fixture + '.jpg'; link.textContent = 'Save this photo';
  shot.replaceChildren(picture, link);
}
async function takePhoto(card, file) {
  try {
    const whole = await createImageBitmap(file), most = 1024;
    const scale = Math.min(1, most / Math.max(whole.width, whole.height));
    const sheet = document.createElement('canvas');
    sheet.width = Math.round(whole.width * scale); sheet.height = Math.round(whole.height * scale);
    sheet.getContext('2d').drawImage(whole, 0, 0, sheet.width, sheet.height);
    const url = sheet.toDataURL('image/jpeg', 0.8);
    showPhoto(card, url);
    of(card).photo = true; keep();
    try { localStorage.setItem(photoKey(card), url); say('Photo kept with ' + card.dataset.fixture + '.'); }
    catch { say('There is no room to keep this photo: save it before you close the sheet.'); }
  } catch { say('This file is no picture that the browser can read.'); }
}
function draw() {
  const card = cards[here], own = of(card);
  const done = document.getElementById('done');
  done.setAttribute('aria-pressed', String(!!own.done));
  done.textContent = own.done ? 'Aimed \u2713' : 'Aimed';
  for (const one of card.querySelectorAll('button[data-step]'))
    one.setAttribute('aria-pressed', String(own.step === one.dataset.step));
  const chosen = card.querySelector('button[data-step="' + own.step + '"]');
  card.querySelector('.next').textContent = chosen ? chosen.dataset.say : '';
  const left = cards.filter(one => !(state[one.dataset.fixture] || {}).done).length;
  document.getElementById('left').textContent = left ? left + ' of ' + cards.length + ' to aim' : 'All aimed';
}
for (const card of cards) {
  const own = of(card);
  for (const field of card.querySelectorAll('[data-field]')) {
    field.value = own[field.dataset.field] || '';
    field.addEventListener('input', () => { own[field.dataset.field] = field.value; keep(); });
  }
  const camera = card.querySelector('.photo input');
  camera.addEventListener('change', () => { if (camera.files[0]) takePhoto(card, camera.files[0]); });
  try { const kept = localStorage.getItem(photoKey(card)); if (kept) showPhoto(card, kept); } catch { /* said at the start */ }
  for (const one of card.querySelectorAll('button[data-step]'))
    one.addEventListener('click', () => {
      own.step = own.step === one.dataset.step ? '' : one.dataset.step; keep(); draw();
    });
}
document.getElementById('back').addEventListener('click', () => show(here - 1));
document.getElementById('on').addEventListener('click', () => show(here + 1));
document.getElementById('done').addEventListener('click', () => {
  const own = of(cards[here]);
  own.done = !own.done; keep();
  if (own.done && here + 1 < cards.length) show(here + 1); else draw();
});
const look = document.getElementById('look');
function dress() {
  document.documentElement.classList.toggle('light', !!state.light);
  look.textContent = state.light ? 'Red on black' : 'Dark on white';
}
look.addEventListener('click', () => { state.light = !state.light; keep(); dress(); });
function cell(text) { return /[",\n;]/.test(text) ? '"' + text.replace(/"/g, '""') + '"' : text; }
document.getElementById('save').addEventListener('click', () => {
  const unit = document.body.dataset.unit;
  const rows = [['fixture', 'point', unit, 'volts', 'note']];
  for (const card of cards) {
    const id = card.dataset.fixture, own = state[id] || {};
    for (const field of card.querySelectorAll('[data-field^="point"]'))
      if (field.value.trim()) rows.push([id, field.dataset.field.slice(5), field.value.trim(), '', '']);
    const said = [own.done ? 'aimed' : '', own.step || '', (own.note || '').trim(), own.photo ? 'photo ' + id + '.jpg' : ''].filter(Boolean).join('; ');
    if ((own.volts || '').trim() || said) rows.push([id, '', '', (own.volts || '').trim(), said]);
  }
  // Semicolons, because the decimals may have commas.
  const text = rows.map(row => row.map(cell).join(';')).join('\r\n') + '\r\n';
  const link = document.createElement('a');
  link.href = URL.createObjectURL(new Blob(['\ufeff' + text], { type: 'text/csv' }));
  link.download = 'readings.csv';
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 10000);
  say(rows.length > 1 ? rows.length - 1 + ' rows saved as readings.csv' : 'Nothing has been noted yet.');
});
// The phone laid on the lens: the angle of its back off level.
const level = document.getElementById('level');
let zero = null, recent = [], last = null, isOn = false;
function angle(event) {
  const b = event.beta * Math.PI / 180, c = event.gamma * Math.PI / 180;
  return [Math.cos(b) * Math.sin(c), -Math.sin(b), Math.cos(b) * Math.cos(c)];
}
function feel(event) {
  if (event.beta === null || event.gamma === null) return;
  last = angle(event);
  const up = zero || [0, 0, 1];
  const cosine = Math.min(1, Math.max(-1, last[0] * up[0] + last[1] * up[1] + last[2] * up[2]));
  recent.push({ at: Date.now(), tilt: Math.acos(cosine) * 180 / Math.PI });
  recent = recent.filter(one => one.at > Date.now() - 1500);
  const mean = recent.reduce((sum, one) => sum + one.tilt, 0) / recent.length;
  const spread = Math.sqrt(recent.reduce((sum, one) => sum + (one.tilt - mean) ** 2, 0) / recent.length);
  // A phone's own error: about 1 degree once it has been set to zero on something level, 2 before.
  const error = Math.hypot(zero ? 1 : 2, spread);
  const wanted = cards[here].dataset.tilt;
  document.getElementById('tilt').textContent = mean.toFixed(1) + '\u00b0, give or take ' + error.toFixed(0) + '\u00b0' +
    (wanted ? ' \u2013 wanted ' + (+wanted).toFixed(1) + '\u00b0' : '');
}
level.addEventListener('click', async () => {
  const out = document.getElementById('tilt');
  if (isOn) { zero = last; recent = []; return; }
  if (typeof DeviceOrientationEvent === 'undefined') { out.textContent = 'This browser does not tell the tilt.'; return; }
  try {
    if (DeviceOrientationEvent.requestPermission && await DeviceOrientationEvent.requestPermission() !== 'granted') {
      out.textContent = 'The tilt was not allowed.'; return;
    }
  } catch { out.textContent = 'This browser does not tell the tilt to a file: use a level or the rim.'; return; }
  window.addEventListener('deviceorientation', feel);
  isOn = true;
  level.textContent = 'Level here: set to zero';
  out.textContent = 'Lay the phone on something level and set it to zero, then on the lens.';
  setTimeout(() => { if (!last) out.textContent = 'No tilt comes from this device.'; }, 2500);
});
dress();
show(here);
)";

} // namespace duskcast
