#!/usr/bin/env python3
"""All that the program says of the demo scenes, with its own rays and with Embree's.

same_sentences.py PROGRAM BY_EMBREE [--long]
The two are one program but for the rays. Every line printed must be the same to the letter, but that a figure of
`light` within 2e-5 of the edge between two roundings may be printed as either, and how high something is lit may
be said as the program itself says it where half a hundredth more or less light counts as lit; every figure of
summary.json to a hundredth, and direct light to 1e-4, but for one sensor in 100,000 rays: so many single rays may differ
(tests/stage/test_second_opinion.cpp, which has them judged by a referee). In maple-rise a ray or two through the
edges of leaves differ, and with them the chance by which its bounced light is found, so that it is asked for its
direct light only; without --long so are all but two-gables, broad-oak and cottage, to save time. --long: files of
all scenes, more views, seasons and studies."""

import csv
import glob
import json
import os
import re
import subprocess
import sys
import tempfile

HERE = os.path.dirname(os.path.abspath(__file__))
SOURCE = os.path.dirname(os.path.dirname(HERE))
DARK_LX = 1e-30  # Embree has the processor take floats below 1.2e-38 for 0, as the far tail of a beam may be
RAYS_DIFFERING = 1e-5  # as a share; at most, as in tests/stage/test_second_opinion.cpp
CLOSE_LOOK = 64  # fine_samples in src/light/direct.cpp
faults = []


def run(program, arguments):
    done = subprocess.run([program] + arguments, cwd=SOURCE, capture_output=True, text=True, encoding='utf-8',
                          stdin=subprocess.DEVNULL, check=False)
    return done.returncode, done.stdout + done.stderr


def run_quietly(program, arguments):
    return subprocess.run([program] + arguments, cwd=SOURCE, capture_output=True, text=True, encoding='utf-8',
                          stdin=subprocess.DEVNULL, check=True).stdout


USUAL_LIT = 0.1  # cd/m2, what `light --help` gives for --lit


def is_on_edge(programs, arguments, own, other):
    """Whether two lines of `light` differ only in how figures on the edge between two roundings are printed, or in
    what hardly counts as lit."""
    pairs = [(a, b) for a, b in zip(own.split(), other.split()) if a != b]
    if arguments[0] != 'light' or len(own.split()) != len(other.split()):
        return False
    arguments = [word for word in arguments if word not in ('--out', 'OUT')]  # two roundings are told without files
    if 'seen from' in own:
        for lit in (0.995 * USUAL_LIT, 1.005 * USUAL_LIT):
            if other in run_quietly(programs[0], arguments + ['--lit', '%.6f' % lit]).splitlines():
                print('with %g cd/m2 for lit, own rays say it too: %s' % (lit, other))
                return True
    summaries = [dict(list_numbers(json.loads(run_quietly(program, arguments + ['--json'])))) for program in programs]
    for a, b in pairs:
        if not re.fullmatch(r'\d+\.\d+', a) or not re.fullmatch(r'\d+\.\d+', b):
            return False
        edge = (float(a) + float(b)) / 2
        step = 10.0 ** -len(a.split('.')[1])
        at_edge = [path for path, figure in summaries[0].items()
                   if isinstance(figure, float) and abs(figure - edge) < 2e-5 * edge
                   and abs(summaries[1].get(path, 0) - edge) < 2e-5 * edge]
        if abs(float(a) - float(b)) > 1.01 * step or not at_edge:
            return False
        print('%s and %s are the roundings of %s, %s and %s' %
              (a, b, at_edge[0], summaries[0][at_edge[0]], summaries[1][at_edge[0]]))
    return True


def say_alike(programs, arguments, folders):
    """Both programs with the same arguments; OUT stands for a folder of each."""
    said = []
    for program, folder in zip(programs, folders):
        status, text = run(program, [folder if word == 'OUT' else word for word in arguments])
        if status != 0:
            faults.append('%s %s ends with %d: %s' % (program, ' '.join(arguments), status, text))
        said.append(text.replace(folder, 'OUT').splitlines())
    own, other = said
    same = sum(a == b for a, b in zip(own, other))
    print('%s: %d of %d lines the same to the letter' % (' '.join(arguments), same, len(own)))
    if len(own) != len(other):
        faults.append('%s: %d and %d lines' % (' '.join(arguments), len(own), len(other)))
    for a, b in zip(own, other):
        if a != b and not is_on_edge(programs, arguments, a, b):
            faults.append('%s\n  own    %s\n  Embree %s' % (' '.join(arguments), a, b))


def list_numbers(value, path=''):
    if isinstance(value, dict):
        for key in value:
            yield from list_numbers(value[key], path + '.' + key)
    elif isinstance(value, list):
        for index, entry in enumerate(value):
            yield from list_numbers(entry, '%s[%d]' % (path, index))
    else:
        yield path, value


def compare_summaries(name, folders):
    own, other = ({path: value for path, value in list_numbers(json.load(open(os.path.join(folder, 'summary.json'))))}
                  for folder in folders)
    if own.keys() != other.keys():
        faults.append('%s: other keys in summary.json' % name)
        return
    worst = 0
    for path, a in own.items():
        b = other[path]
        if isinstance(a, float) and isinstance(b, float):
            if 'min_lx' in path or 'max_lx' in path:  # of one sensor
                continue
            off = abs(a - b) / max(abs(a), abs(b), 0.05)
            worst = max(worst, off)
            if off > 0.01:
                faults.append('%s: summary.json %s is %g and %g' % (name, path, a, b))
        elif path.endswith('.sight_rays'):  # a ray that differs may bring a closer look, of as many
            if abs(a - b) > CLOSE_LOOK * max(1, RAYS_DIFFERING * a):
                faults.append('%s: summary.json %s is %d and %d' % (name, path, a, b))
        elif a != b:
            faults.append('%s: summary.json %s is %s and %s' % (name, path, a, b))
    print('%s: figures of summary.json differ by %.3f %% at most' % (name, 100 * worst))


def compare_maps(name, folders):
    """Same sensors, to the letter; direct light the same but where one ray of a sensor's differs."""
    with open(os.path.join(folders[0], 'summary.json'), encoding='utf-8') as file:
        rays = next(value for path, value in list_numbers(json.load(file)) if path.endswith('.sight_rays'))
    count = changed = 0
    for path in sorted(glob.glob(os.path.join(folders[0], 'maps', '*.csv'))):
        rows = [list(csv.DictReader(open(os.path.join(folder, 'maps', os.path.basename(path))))) for folder in folders]
        if len(rows[0]) != len(rows[1]):
            faults.append('%s: %s has %d and %d sensors' % (name, path, len(rows[0]), len(rows[1])))
        for a, b in zip(*rows):
            count += 1
            if any(a[key] != b[key] for key in ('x_m', 'y_m', 'z_m', 'area_m2')):
                faults.append('%s: %s has other sensors' % (name, path))
                break
            x, y = float(a['direct_lx']), float(b['direct_lx'])
            changed += abs(x - y) > 1e-4 * max(x, y, DARK_LX)
    said = '%s: direct light of %d of %d sensors differs, by %d rays' % (name, changed, count, rays)
    print(said)
    if changed > max(1, RAYS_DIFFERING * rays):
        faults.append(said)


def main(arguments):
    programs = [os.path.abspath(path) for path in arguments if path != '--long']
    is_long = '--long' in arguments
    linked = subprocess.run(['ldd', programs[0]], capture_output=True, text=True, check=False).stdout
    if 'embree' in linked:
        faults.append('%s is linked with Embree' % programs[0])
    for site in sorted(glob.glob(os.path.join(SOURCE, 'scenes', '*', '*.site.json'))):
        site = os.path.relpath(site, SOURCE)
        name = os.path.basename(site)
        with tempfile.TemporaryDirectory() as own, tempfile.TemporaryDirectory() as other:
            folders = (own, other)
            if 'maple-rise' in name or not is_long and not re.match('two-gables|broad-oak|cottage', name):
                say_alike(programs, ['light', site, '--direct-only'], folders)
                continue
            if not is_long and 'gables' not in name:
                say_alike(programs, ['light', site], folders)
                continue
            say_alike(programs, ['light', site, '--out', 'OUT'], folders)
            compare_summaries(name, folders)
            compare_maps(name, folders)
            with open(os.path.join(SOURCE, site), encoding='utf-8') as file:
                has_views = bool(json.load(file).get('views'))
            if has_views:
                say_alike(programs, ['view', site, '--out', 'OUT', '--width', '160', '--height', '100'], folders)
            if is_long:
                say_alike(programs, ['light', site, '--season', 'bare', '--units', 'm'], folders)
                say_alike(programs, ['contribution', site], folders)
    gables = 'scenes/two-gables/two-gables.site.json'
    with tempfile.TemporaryDirectory() as own, tempfile.TemporaryDirectory() as other:
        say_alike(programs, ['compare', gables], (own, other))
        if is_long:
            say_alike(programs, ['compare', 'scenes/broad-oak/broad-oak.site.json'], (own, other))
            say_alike(programs, ['sweep', gables, '--fixtures', 'U5', '--vary', 'tilt=0..30:5'], (own, other))
            say_alike(programs, ['tolerance', gables, '--samples', '32'], (own, other))
    print('\n'.join(faults))
    return 1 if faults else 0


if __name__ == '__main__':
    sys.exit(main(sys.argv[1:]))
