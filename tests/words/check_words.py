#!/usr/bin/env python3
"""Every sentence the program can print, and what it really prints, compared with what is kept here.

check_words.py templates [--renew]
    templates.txt: the string literals for people in src/, include/ and tools/duskcast, by room.
check_words.py spoken PROGRAM [--renew]
    spoken.txt: what PROGRAM prints for the commands of commands.txt. Words must be the same; a figure may be
    off by 2 % or two units of its last digit, since processors differ in the last bits of a ray.
--renew writes the file anew and prints what changed."""

import difflib
import os
import re
import subprocess
import sys
import tempfile

HERE = os.path.dirname(os.path.abspath(__file__))
SOURCE = os.path.dirname(os.path.dirname(HERE))

TOKEN = re.compile(
    r'//[^\n]*'
    r'|/\*.*?\*/'
    r'|^[ \t]*\#[ \t]*include[^\n]*'
    r'|R"(?P<mark>[^()\\\s]*)\((?P<raw>.*?)\)(?P=mark)"'
    r'|"(?P<text>(?:\\.|[^"\\\n])*)"'
    r"|'(?:\\.|[^'\\\n])+'"
    r'|\d[\d\']*'  # 60'000 opens no character
    r'|[\w]+'
    r'|(?P<space>\s+)'
    r'|.',
    re.DOTALL | re.MULTILINE)
ESCAPE = re.compile(r'\\(u[0-9a-fA-F]{4}|x[0-9a-fA-F]+|.)', re.DOTALL)


def decode(literal):
    """The text of a literal; line ends and tabs stay as they are written."""
    def one(match):
        code = match.group(1)
        if code[0] == 'u':
            return chr(int(code[1:], 16))
        return '\\' + code if code[0] in 'ntrx0' else code
    return ESCAPE.sub(one, literal)


def list_literals(source):
    """The string literals of a C++ source, adjacent ones joined."""
    literals, is_joined = [], False
    for match in TOKEN.finditer(source):
        token = match.group(0)
        if match.group('space') is not None or token.startswith(('//', '/*')):
            continue
        text = match.group('raw')
        if text is not None:
            text = text.replace('\n', '\\n')
        elif match.group('text') is not None:
            text = decode(match.group('text'))
        if text is None:
            is_joined = False
        elif is_joined:
            literals[-1] += text
        else:
            literals.append(text)
            is_joined = True
    return literals


def is_for_people(text):
    """Words with a space beside them, or one word written with a capital; keys and ids have neither. Elements
    and attributes of an SVG are for programs."""
    if re.search(r'\w="|</\w', text):
        return False
    words = re.sub(r'\{[^{}]*\}|\\[nt]', ' ' if '\\n' in text else '', text)
    return bool(re.search(r'[^\W\d_]{2,}', words) and re.search(r'\s', words.strip('\n'))
                or re.fullmatch(r'[A-Z][a-z]+[.:]?', text))


def print_templates():
    rooms = {}
    roots = [('src', None), (os.path.join('include', 'duskcast'), None), ('tools', 'duskcast')]
    for root, only in roots:
        top = os.path.join(SOURCE, root)
        for room in sorted([only] if only else os.listdir(top)):
            found = rooms.setdefault('command line' if only else room, set())
            for folder, _, names in os.walk(os.path.join(top, room)):
                for name in names:
                    if name.endswith(('.cpp', '.hpp')):
                        with open(os.path.join(folder, name), encoding='utf-8') as file:
                            found.update(filter(is_for_people, list_literals(file.read())))
    lines = []
    for room in sorted(rooms):
        if rooms[room]:
            lines += ['== ' + room] + ['"%s"' % text for text in sorted(rooms[room])] + ['']
    return '\n'.join(lines)


def print_spoken(program):
    """Each command with what it prints, errors and warnings behind "! ", and its status unless 0."""
    lines = []
    with open(os.path.join(HERE, 'commands.txt'), encoding='utf-8') as file:
        commands = [line.strip() for line in file if line.strip() and not line.startswith('#')]
    with tempfile.TemporaryDirectory() as out:
        for command in commands:
            arguments = [out + word[3:] if word.startswith('OUT') else word for word in split(command)]
            done = subprocess.run([program] + arguments, cwd=SOURCE, capture_output=True, text=True,
                                  encoding='utf-8', stdin=subprocess.DEVNULL, check=False)
            lines.append('$ duskcast ' + command)
            lines += done.stdout.splitlines()
            lines += ['! ' + line for line in done.stderr.splitlines()]
            lines += ['[%d]' % done.returncode] if done.returncode else []
            lines.append('')
    return '\n'.join(lines).replace(out, 'OUT').replace(program, 'duskcast')


def split(command):
    """Words of a command line; "..." holds one with spaces."""
    return [word[1:-1] if word.startswith('"') else word for word in re.findall(r'"[^"]*"|\S+', command)]


NUMBER = re.compile(r'\d[\d,]*(?:\.\d+)?')
FEET = re.compile(r'(\d+) ft(?: (?:(\d+) )?(1/2 )?in)?\b')


def in_inches(match):
    """A length in feet and inches as one figure: 9 ft 11 1/2 in and 10 ft are close."""
    feet, inches, half = match.groups()
    return '%.1f in' % (12 * int(feet) + int(inches or 0) + (0.5 if half else 0))


def is_close(one, other):
    """Whether two texts differ in the last digits of figures alone; columns may shift with them."""
    if one == other:
        return True
    one, other = (FEET.sub(in_inches, ' '.join(text.split())) for text in (one, other))
    if NUMBER.sub('#', one) != NUMBER.sub('#', other):
        return False
    for a, b in zip(NUMBER.findall(one), NUMBER.findall(other)):
        x, y = float(a.replace(',', '')), float(b.replace(',', ''))
        decimals = min(len(a.partition('.')[2]), len(b.partition('.')[2]))
        if abs(x - y) > max(0.02 * max(x, y), 2.001 * 10 ** -decimals):
            return False
    return True


def check(name, text, is_renewing, is_same):
    path = os.path.join(HERE, name)
    kept = ''
    if os.path.exists(path):
        with open(path, encoding='utf-8') as file:
            kept = file.read()
    old, new = kept.splitlines(), text.splitlines()
    if len(old) == len(new) and all(map(is_same, old, new)) and not (is_renewing and kept != text):
        return 0
    print('\n'.join(difflib.unified_diff(old, new, 'kept', 'now', lineterm='', n=1)))
    if is_renewing:
        with open(path, 'w', encoding='utf-8') as file:
            file.write(text)
        return 0
    print('\n%s is not what is said now. If that is meant: tools/renew-words' % os.path.relpath(path, SOURCE))
    return 1


def main(arguments):
    is_renewing = '--renew' in arguments
    arguments = [argument for argument in arguments if argument != '--renew']
    if arguments == ['templates']:
        return check('templates.txt', print_templates(), is_renewing, str.__eq__)
    if len(arguments) == 2 and arguments[0] == 'spoken':
        return check('spoken.txt', print_spoken(os.path.abspath(arguments[1])), is_renewing, is_close)
    print(__doc__, file=sys.stderr)
    return 2


if __name__ == '__main__':
    sys.exit(main(sys.argv[1:]))
