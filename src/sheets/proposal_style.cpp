#include "proposal_style.hpp"

#include "duskcast/sheets/html.hpp"

namespace duskcast {

namespace {

// Letter is wider, A4 is taller: what stands on a page fits into 180 mm by 240 mm, which both have between
// their margins.
constexpr auto proposal_rules = R"(<style>
* { box-sizing: border-box; margin: 0; padding: 0; }
html { -webkit-print-color-adjust: exact; print-color-adjust: exact; }
body { font: 10.5pt/1.5 "Iowan Old Style", "Palatino Linotype", Palatino, "Book Antiqua", Georgia, "DejaVu Serif", serif;
  color: #26282e; background: #d9d7d1; }
h1, h2, h3, strong, th { font-weight: 700; color: var(--brand-text); line-height: 1.2; }
h1 { font-size: 30pt; letter-spacing: -.01em; }
.page > h1, h2 { font-size: 20pt; letter-spacing: 0; margin-bottom: 5mm; padding-bottom: 2.5mm; border-bottom: .6mm solid var(--accent); }
h3, .technical h2, .page > h1 ~ h2 { font-size: 12pt; margin-bottom: 1mm; padding: 0; border: 0; }
p + p { margin-top: 2.5mm; }
img { display: block; width: 100%; }
figcaption, .small { font-size: 8.5pt; line-height: 1.4; color: #55585f; }
.page { background: #fdfcf9; width: 190mm; max-width: 100%; margin: 8mm auto; padding: 12mm; overflow: hidden; }
.cover { padding: 0; background: var(--brand); color: var(--on-brand); display: flex; flex-direction: column; }
.cover > img { aspect-ratio: 3 / 2; object-fit: cover; }
.cover h1 { color: inherit; }
.cover .words { padding: 11mm 16mm 10mm; flex: 1; display: flex; flex-direction: column; }
.cover .kind { font-size: 12pt; margin-bottom: 2mm; }
.cover .for { font-size: 13pt; margin-top: 3mm; }
.cover .who { margin-top: auto; padding-top: 8mm; display: flex; align-items: flex-end; gap: 7mm; font-size: 9.5pt; }
.cover .who strong { color: inherit; font-size: 12pt; }
.logo { width: auto; max-width: 46mm; max-height: 22mm; background: #fff; padding: 2mm; border-radius: 1mm; }
.wide { object-fit: cover; border-radius: .8mm; }
.before, .after { aspect-ratio: 180 / 80; object-position: 50% 60%; }
.photo { aspect-ratio: 180 / 84; object-position: 50% 30%; }
figure + figure { margin-top: 4mm; }
figcaption { padding-top: 1.2mm; }
.pairs { display: grid; grid-template-columns: 1fr 1fr; gap: 7mm 6mm; }
.pairs.threes { grid-template-columns: 1fr 1fr 1fr; gap: 6mm 5mm; }
.pairs.fours { grid-template-columns: 1fr 1fr 1fr 1fr; gap: 6mm 4mm; }
.pairs img { aspect-ratio: 3 / 2; object-fit: cover; border-radius: .8mm; margin-bottom: 2mm; }
.pairs > *, tr, figure, .keep { break-inside: avoid; }
.lead { font-size: 12pt; margin-bottom: 4mm; }
.views article + article { margin-top: 6mm; }
.views img { aspect-ratio: 180 / 76; object-fit: cover; border-radius: .8mm; margin-bottom: 2mm; }
.views.many { display: grid; grid-template-columns: 1fr 1fr; gap: 7mm 6mm; }
.views.many article { margin: 0; break-inside: avoid; }
ul { list-style: none; }
.views ul { columns: 2; column-gap: 6mm; }
.views.many ul { columns: 1; }
li { break-inside: avoid; }
.keep > ul > li + li { margin-top: 1.5mm; }
table { width: 100%; border-collapse: collapse; }
th, td { text-align: left; vertical-align: top; padding: 1.3mm 2mm; border-bottom: .2mm solid #d8d4ca; }
td.number, th.number { text-align: right; white-space: nowrap; font-variant-numeric: tabular-nums; }
.options { table-layout: fixed; }
.options { font-size: 9.5pt; }
.options th:first-child { width: 29mm; padding-left: 0; }
.options thead td, .options thead th { border: 0; padding-bottom: 0; }
.options img { aspect-ratio: 3 / 2; object-fit: cover; border-radius: .8mm; }
.options .name td { font-size: 12pt; }
.options .proposed { background: var(--wash); }
.options tr.total td, .options tr.total th { border-top: .5mm solid var(--accent); font-weight: 700; }
.tag { font-size: 8.5pt; font-weight: 400; color: #55585f; }
.note { background: var(--wash); padding: 3mm 4mm; border-radius: .8mm; margin-top: 4mm; }
.plan { margin: 0 auto 5mm; max-width: 100%; max-height: 112mm; width: auto; border: .2mm solid #d8d4ca; }
.number-mark { display: inline-block; min-width: 6mm; height: 6mm; padding: 0 1mm; border-radius: 3mm; text-align: center;
  font-size: 8.5pt; line-height: 6mm; font-weight: 700; background: var(--accent); color: var(--on-accent); }
.texts > section + section { margin-top: 6mm; }
.sign { display: grid; grid-template-columns: 1fr 1fr; gap: 12mm 10mm; margin-top: 12mm; }
.sign div { border-top: .3mm solid #26282e; padding-top: 1.5mm; font-size: 9pt; }
pre { font: 7.2pt/1.45 "DejaVu Sans Mono", Consolas, Menlo, monospace; white-space: pre-wrap; }
.technical table { font-size: 9.5pt; }
.technical td:nth-child(4), .technical td:last-child { white-space: nowrap; }
.technical img { border: .2mm solid #d8d4ca; max-height: 228mm; object-fit: contain; }
@media print {
  @page { margin: 17mm 15mm 19mm; @bottom-right { content: counter(page); font: 8.5pt Georgia, "DejaVu Serif", serif; color: #55585f; } }
  @page bare { margin: 0; @bottom-right { content: none; } }
  body { background: none; }
  .page { margin: 0; padding: 0; width: auto; background: none; break-before: page; overflow: visible; }
  .page:first-child { break-before: auto; }
  .technical + .technical { break-before: auto; break-inside: avoid; margin-top: 9mm; }
  .texts { font-size: 9.8pt; line-height: 1.4; }
  .texts > section + section { margin-top: 4mm; }
  .texts .sign { margin-top: 9mm; row-gap: 9mm; }
  .cover { page: bare; height: 100vh; background: var(--brand); }
}
@media screen and (max-width: 640px) {
  .page { padding: 6mm; margin: 0 0 4mm; }
  .cover { padding: 0; }
  .pairs, .pairs.threes, .pairs.fours, .views.many, .sign { grid-template-columns: 1fr; }
  .views ul { columns: 1; }
  .scroll { overflow-x: auto; }
  .options { min-width: 150mm; }
}
</style>
)";

Colour mix_with_white(const Colour& colour, double share) {
    Colour made = colour;
    for (double& channel : made)
        channel = 1 - share * (1 - channel);
    return made;
}

} // namespace

std::string print_proposal_style(const Business& business) {
    const Colour paper = read_colour("#fdfcf9");
    const Colour brand = read_colour(business.colour), accent = read_colour(business.accent);
    return std::string(proposal_rules) + "<style>:root { --brand: " + print_colour(brand) +
           "; --brand-text: " + print_colour(make_readable(brand, paper)) +
           "; --on-brand: " + print_colour(make_readable({1, 1, 1}, brand)) +
           "; --accent: " + print_colour(accent) +
           "; --on-accent: " + print_colour(make_readable({1, 1, 1}, accent)) +
           "; --wash: " + print_colour(mix_with_white(accent, 0.1)) + "; }</style>\n";
}

} // namespace duskcast
