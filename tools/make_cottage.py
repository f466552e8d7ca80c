#!/usr/bin/env python3
"""Makes the invented cottage of scenes/cottage: cottage.obj, cottage.mtl, its textures, and the spot lamp that
lights its gable (garden-spot-5w.ies in the lamps folder beside). The same pixels and figures come out every time.

usage: tools/make_cottage.py scenes/cottage
"""

import math
import pathlib
import random
import struct
import sys
import zlib

LUMINANCE = (0.2126, 0.7152, 0.0722)  # linear sRGB to Y, IEC 61966-2-1


# ---- textures -------------------------------------------------------------------------------------------

def srgb_from_linear(value):
    """IEC 61966-2-1 encoding of 0..1 to 0..255, in steps of 4: a grain nobody sees, and a third of the file."""
    encoded = 12.92 * value if value <= 0.0031308 else 1.055 * value ** (1 / 2.4) - 0.055
    return min(255, max(0, 4 * round(255 * encoded / 4)))


def tint_to(reflectance, tint):
    """The tint scaled to a luminance."""
    share = sum(weight * part for weight, part in zip(LUMINANCE, tint))
    return tuple(reflectance / share * part for part in tint)


def write_png(path, size, pixels, has_alpha=False):
    """`pixels` row by row from the top, each a tuple of 0..255."""
    def chunk(kind, data):
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    rows = b"".join(b"\0" + bytes(part for pixel in pixels[row * size:(row + 1) * size] for part in pixel)
                    for row in range(size))
    path.write_bytes(b"\x89PNG\r\n\x1a\n"
                     + chunk(b"IHDR", struct.pack(">IIBBBBB", size, size, 8, 6 if has_alpha else 2, 0, 0, 0))
                     + chunk(b"IDAT", zlib.compress(rows, 9)) + chunk(b"IEND", b""))


def split(rng, total, least, most):
    """Whole lengths at random that add up to `total`."""
    lengths = []
    while sum(lengths) < total:
        lengths.append(rng.uniform(least, most))
    marks = [round(sum(lengths[:i]) * total / sum(lengths)) for i in range(len(lengths) + 1)]
    return [b - a for a, b in zip(marks, marks[1:])]


def smooth_noise(rng, size, cell):
    """Value noise that repeats: bilinear between random figures -1..1 on a grid."""
    count = size // cell
    grid = [[rng.uniform(-1, 1) for _ in range(count)] for _ in range(count)]

    def value(x, y):
        i, j = x // cell, y // cell
        s, t = x % cell / cell, y % cell / cell
        k, m = (i + 1) % count, (j + 1) % count
        return ((1 - t) * ((1 - s) * grid[j][i] + s * grid[j][k])
                + t * ((1 - s) * grid[m][i] + s * grid[m][k]))
    return value


def coursed_stone(size):
    """Courses of stones of uneven length, reflectance about 0.28 to 0.46, in mortar."""
    rng = random.Random(1)
    coarse, fine = smooth_noise(rng, size, 16), smooth_noise(rng, size, 4)
    mortar = tint_to(0.33, (1.06, 1.0, 0.88))
    rows = []
    for course in split(rng, size, 34, 60):
        shift = int(rng.uniform(0, size))
        line = []  # (stone's colour, distance to the stone's nearer end) along the course
        for length in split(rng, size, 48, 120):
            warmth = rng.uniform(0, 0.15)
            colour = tint_to(rng.uniform(0.28, 0.46), (1.08 + warmth, 1.0, 0.86 - 1.5 * warmth))
            line += [(colour, min(i, length - 1 - i)) for i in range(length)]
        line = line[shift:] + line[:shift]
        for y in range(course):
            row = []
            for x, (colour, end) in enumerate(line):
                edge = min(end, y, course - 1 - y) + 1.2 * fine(x, len(rows))
                grain = 1 + 0.10 * coarse(x, len(rows)) + 0.05 * fine(x, len(rows))
                if edge < 1.5:
                    colour, grain = mortar, 0.55 + 0.3 * grain
                elif edge < 3:
                    grain *= 0.88
                row.append(tuple(srgb_from_linear(grain * part) for part in colour))
            rows.append(row)
    return [pixel for row in rows for pixel in row]


def shingles(size):
    """Eight courses of weathered timber shingles, reflectance about 0.11 to 0.2, a dark line under each butt."""
    rng = random.Random(2)
    fine = smooth_noise(rng, size, 4)
    pixels = []
    course = size // 8
    for _ in range(8):
        shift = int(rng.uniform(0, size))
        line = []
        for width in split(rng, size, 14, 30):
            colour = tint_to(rng.uniform(0.11, 0.2), (1.1, 1.0, rng.uniform(0.78, 0.9)))
            butt = course - 3 - rng.uniform(0, 3)
            line += [(colour, i < 2, butt) for i in range(width)]
        line = line[shift:] + line[:shift]
        for y in range(course):
            for x, (colour, is_gap, butt) in enumerate(line):
                shade = 0.25 if y >= butt or is_gap else 0.8 + 0.3 * y / course + 0.1 * fine(x, 0)
                pixels.append(tuple(srgb_from_linear(shade * part) for part in colour))
    return pixels


def window(size):
    """A painted frame, two sashes of six panes each, and curtains drawn aside in a dim room; seen once over the
    whole window. Reflectance of the paint 0.5, of glass with the room behind it 0.03 to 0.12."""
    frame, bar, curtain = size // 16, size // 64, 0.24
    paint, grey = (1.03, 1.0, 0.92), (0.94, 1.0, 1.06)
    pixels = []
    for y in range(size):
        for x in range(size):
            edge = min(x, y, size - 1 - x, size - 1 - y)
            inner = size - 2 * frame
            u, v = (x - frame) / inner, (y - frame) / inner
            is_bar = (min(abs(u - 1 / 3), abs(u - 2 / 3)) * inner < bar
                      or min(abs(v - 1 / 4), abs(v - 3 / 4)) * inner < bar or abs(v - 0.5) * inner < 2 * bar)
            if edge < frame or is_bar:
                shade = 0.8 if edge in (0, frame - 1) else 1
                colour = tint_to(0.5 * shade, paint)
            elif min(u, 1 - u) < curtain - 0.05 * v:
                fold = 0.5 + 0.5 * math.sin(2 * math.pi * min(u, 1 - u) / 0.055)
                colour = tint_to(0.05 + 0.07 * fold, paint)
            else:
                colour = tint_to(0.03, grey)
            pixels.append(tuple(srgb_from_linear(part) for part in colour))
    return pixels


def panelled_door(size):
    """An oak door of six panels with bevelled edges, seen once over the whole leaf; reflectance about 0.1."""
    rng = random.Random(4)
    grain = smooth_noise(rng, size, 4)
    oak = (1.72, 0.91, 0.46)
    panels = [(0.14, 0.46, low, high) for low, high in ((0.06, 0.22), (0.28, 0.58), (0.66, 0.94))]
    panels += [(1 - right, 1 - left, low, high) for left, right, low, high in panels]
    pixels = []
    for y in range(size):
        for x in range(size):
            u, v = (x + 0.5) / size, (y + 0.5) / size
            level = 0.1 * (1 + 0.12 * grain(x // 8 % size, y))
            for left, right, low, high in panels:
                inside = min(2 * (u - left), 2 * (right - u), v - low, high - v)  # a leaf twice as high as wide
                if 0 < inside < 0.025:
                    level *= 0.55 if v - low < 0.025 or 2 * (u - left) < 0.025 else 1.3
            pixels.append(tuple(srgb_from_linear(part) for part in tint_to(level, oak)))
    return pixels


def leaf_card(size, cover):
    """Leaves in clusters under a dome until they cover the share `cover` of the card; see-through elsewhere."""
    rng = random.Random(3)
    ground = tuple(srgb_from_linear(part) for part in tint_to(0.10, (0.70, 1.15, 0.38)))
    pixels = [ground + (0,)] * (size * size)
    covered = 0

    def add_leaf(x, y, heading, length, colour):
        """A pointed oval from its stalk at (x, y): half width 0.21 sin(pi s) of the length at the share s."""
        added = 0
        reach = int(length) + 1
        for row in range(max(0, int(y) - reach), min(size, int(y) + reach + 1)):
            for column in range(max(0, int(x) - reach), min(size, int(x) + reach + 1)):
                dx, dy = column - x, row - y
                s = (dx * math.cos(heading) + dy * math.sin(heading)) / length
                across = (dy * math.cos(heading) - dx * math.sin(heading)) / length
                if 0 < s < 1 and abs(across) < 0.21 * math.sin(math.pi * s):
                    added += pixels[row * size + column][3] == 0
                    vein = 1.25 if abs(across) < 0.02 else 1.0
                    pixels[row * size + column] = tuple(srgb_from_linear(vein * c) for c in colour) + (255,)
        return added

    while covered < cover * size * size:
        angle, radius = rng.uniform(0, math.pi), math.sqrt(rng.random())
        x = size * (0.5 + 0.40 * radius * math.cos(angle))
        y = size * (0.97 - 0.84 * radius * math.sin(angle))
        heading = rng.uniform(0, 2 * math.pi)
        for leaf in range(6):
            colour = tint_to(rng.uniform(0.07, 0.13), (rng.uniform(0.6, 0.85), 1.15, 0.38))
            turn = heading + leaf * math.pi / 3 + rng.uniform(-0.3, 0.3)
            covered += add_leaf(x, y, turn, size * rng.uniform(0.05, 0.08), colour)
    return pixels


# ---- mesh, in feet, y up, the front towards +z -----------------------------------------------------------

def cross(a, b):
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


def minus(a, b):
    return tuple(p - q for p, q in zip(a, b))


def dot(a, b):
    return sum(p * q for p, q in zip(a, b))


def normal_of(points):
    """Unit normal of a polygon, counter-clockwise seen from its tip (Newell)."""
    total = (0.0, 0.0, 0.0)
    for a, b in zip(points, points[1:] + points[:1]):
        total = tuple(p + q for p, q in zip(total, cross(a, b)))
    return tuple(part / math.sqrt(dot(total, total)) for part in total)


class Obj:
    """Lines of an OBJ file. Corners of equal figures are shared."""

    def __init__(self):
        self.index = {"v": {}, "vt": {}, "vn": {}}
        self.lines = []
        self.material = ""

    def group(self, name):
        self.lines.append(f"g {name}")

    def _number(self, kind, values):
        text = " ".join(f"{round(value, 4) + 0.0:g}" for value in values)  # + 0.0: no -0
        return self.index[kind].setdefault(text, len(self.index[kind]) + 1)

    def face(self, points, material, outward=None, uv=None, has_normal=False):
        """A polygon, turned over where it does not face `outward`."""
        points = [tuple(map(float, point)) for point in points]
        if outward and dot(normal_of(points), outward) < 0:
            points.reverse()
            uv = uv and uv[::-1]
        if material != self.material:
            self.material = material
            self.lines.append(f"usemtl {material}")
        normal = self._number("vn", normal_of(points)) if has_normal else ""
        corners = []
        for i, point in enumerate(points):
            spot = self._number("vt", uv[i]) if uv else ""
            corners.append(f"{self._number('v', point)}/{spot}/{normal}".rstrip("/"))
        self.lines.append("f " + " ".join(corners))

    def text(self):
        tables = [f"{kind} {text}" for kind in ("v", "vt", "vn") for text in self.index[kind]]
        return "\n".join(["# An invented cottage, in feet, y up; the front faces +z", "mtllib cottage.mtl",
                          *tables, *self.lines, ""])


STONE_FT = 6.0    # one picture of stone covers this much wall
SHINGLE_FT = 4.0
RECESS = 0.4      # of panes and door behind the wall face
UP = (0, 1, 0)


class Upright:
    """A wall's own plane: u along it as seen from outside, v up, w out of it."""

    def __init__(self, origin, along):
        self.origin, self.along, self.out = origin, along, cross(along, UP)

    def at(self, u, v, w=0.0):
        return tuple(o + u * a + v * up + w * n for o, a, up, n in zip(self.origin, self.along, UP, self.out))


def clip(polygon, inside):
    """The part of a convex polygon where the linear function `inside` is not negative."""
    kept = []
    for a, b in zip(polygon, polygon[1:] + polygon[:1]):
        fa, fb = inside(a), inside(b)
        if fa >= 0:
            kept.append(a)
        if fa * fb < 0:
            kept.append(tuple(p + (q - p) * fa / (fa - fb) for p, q in zip(a, b)))
    return kept


def add_wall(obj, wall, spans, holes, peak=None):
    """A face of quads and pentagons that meet corner to corner. `spans`: (from, to, top) along the wall;
    `holes`: (u0, u1, v0, v1); `peak`: (from, to, eaves, peak) of a gable over one span."""
    us = sorted({u for span in spans for u in span[:2]} | {u for hole in holes for u in hole[:2]})
    vs = sorted({0.0} | {span[2] for span in spans} | {v for hole in holes for v in hole[2:]})
    for left, right in zip(us, us[1:]):
        top = next(span[2] for span in spans if span[0] <= left and right <= span[1])
        for low, high in zip(vs, vs[1:]):
            if high > top or any(h[0] <= left and right <= h[1] and h[2] <= low and high <= h[3] for h in holes):
                continue
            cell = [(left, low), (right, low), (right, high), (left, high)]
            if peak and high > peak[2]:
                half, rise = (peak[1] - peak[0]) / 2, peak[3] - peak[2]
                for side, end in ((1, peak[0]), (-1, peak[1])):
                    cell = clip(cell, lambda p: peak[2] + side * (p[0] - end) * rise / half - p[1])
                if len(cell) < 3:
                    continue
            obj.face([wall.at(u, v) for u, v in cell], "stone", wall.out,
                     [(u / STONE_FT, v / STONE_FT) for u, v in cell], has_normal=True)


def add_opening(obj, wall, hole, material):
    """The pane or leaf of a hole, with the stone of its recess."""
    u0, u1, v0, v1 = hole
    obj.face([wall.at(u, v, -RECESS) for u, v in ((u0, v0), (u1, v0), (u1, v1), (u0, v1))], material, wall.out,
             [(0, 0), (1, 0), (1, 1), (0, 1)])
    rim = [(u0, v0), (u1, v0), (u1, v1), (u0, v1)]
    middle = wall.at((u0 + u1) / 2, (v0 + v1) / 2)
    for a, b in zip(rim, rim[1:] + rim[:1]):
        if a[1] == b[1] == 0:
            continue  # the ground is its sill
        points = [wall.at(*a), wall.at(*b), wall.at(*b, -RECESS), wall.at(*a, -RECESS)]
        length = math.dist(a, b) / STONE_FT
        depth = RECESS / STONE_FT
        obj.face(points, "stone", minus(middle, points[0]), [(0, 0), (length, 0), (length, depth), (0, depth)])


def add_box(obj, low, high, material, sides):
    """The named sides of an upright box; a capital is the upper end of its axis."""
    for name in sides:
        axis = "xyz".index(name.lower())
        p, q = (i for i in range(3) if i != axis)
        corners = []
        for ends in ((low, low), (high, low), (high, high), (low, high)):
            point = list(high if name.isupper() else low)
            point[p], point[q] = ends[0][p], ends[1][q]
            corners.append(point)
        outward = [0, 0, 0]
        outward[axis] = 1 if name.isupper() else -1
        obj.face(corners, material, outward)


def add_roof(obj):
    """Slopes 0.3 ft thick (measured upright), drawn from outside and from below, with their edges. The main
    ridge lies along x, the front gable's ridge meets it; both stand at 21 ft, every overhang is 1 ft out."""
    thick = 0.3
    low, ridge = 7.8, 21.0  # the slope of 12 in 10 comes down to 7.8 ft a foot in front of the wall
    peak = (9.0, ridge)
    slopes = [
        [(-0.8, low, 1), (1.3, low, 1), (*peak, -10), (-0.8, ridge, -10)],
        [(16.7, low, 1), (30.8, low, 1), (30.8, ridge, -10), (*peak, -10)],
        [(-0.8, low, -21), (-0.8, ridge, -10), (*peak, -10), (30.8, ridge, -10), (30.8, low, -21)],
        [(1.3, low, 1), (*peak, 1), (*peak, -10)],
        [(16.7, low, 1), (*peak, 1), (*peak, -10)],
    ]
    edges = {}
    for slope in slopes:
        for a, b in zip(slope, slope[1:] + slope[:1]):
            edges.setdefault(tuple(sorted((a, b))), []).append((a, b))
    for slope in slopes:
        normal = normal_of([tuple(map(float, point)) for point in slope])
        if normal[1] < 0:
            normal = minus((0, 0, 0), normal)
        level = cross(UP, normal)
        size = math.hypot(*level)
        level = tuple(part / size for part in level)
        rising = cross(normal, level)
        uv = [(dot(p, level) / SHINGLE_FT, dot(p, rising) / SHINGLE_FT) for p in slope]
        obj.face([(x, y + thick, z) for x, y, z in slope], "shingle", UP, uv)
        obj.face(slope, "timber", (0, -1, 0))
    for seen in edges.values():
        if len(seen) == 1:
            a, b = seen[0]
            raised = [(x, y + thick, z) for x, y, z in (b, a)]
            middle = tuple((p + q) / 2 for p, q in zip(a, b))
            obj.face([a, b, *raised], "timber", (middle[0] - 15, 0, middle[2] + 10))


def add_chimney(obj):
    """A stack before the front wall: its front face first, so that it is the group's first plane."""
    left, right, front, shoulder, neck, top = 24.5, 28.5, 1.6, 7.0, 9.0, 24.0
    inner_left, inner_right, back = 25.2, 27.8, -1.4

    def uv(points):
        return [((p[0] - p[2]) / STONE_FT, p[1] / STONE_FT) for p in points]

    def add(points, outward):
        obj.face(points, "stone", outward, uv(points), has_normal=True)

    add([(left, 0, front), (right, 0, front), (right, shoulder, front), (left, shoulder, front)], (0, 0, 1))
    add([(left, shoulder, front), (right, shoulder, front), (inner_right, neck, front),
         (inner_left, neck, front)], (0, 0, 1))
    add([(inner_left, neck, front), (inner_right, neck, front), (inner_right, top, front),
         (inner_left, top, front)], (0, 0, 1))
    for outer, inner, side in ((left, inner_left, -1), (right, inner_right, 1)):
        add([(outer, 0, 0), (outer, 0, front), (outer, shoulder, front), (outer, shoulder, 0)], (side, 0, 0))
        add([(outer, shoulder, 0), (outer, shoulder, front), (inner, neck, front), (inner, neck, 0)], (side, 1, 0))
        add([(inner, neck, back), (inner, neck, front), (inner, top, front), (inner, top, back)], (side, 0, 0))
    add([(inner_left, neck, back), (inner_right, neck, back), (inner_right, top, back), (inner_left, top, back)],
        (0, 0, -1))
    add_box(obj, (inner_left, neck, back), (inner_right, top, front), "soot", "Y")


def add_shrub(obj, x, z, width, height, turn):
    """Three upright cards through one line."""
    for card in range(3):
        angle = math.radians(turn + 60 * card)
        dx, dz = width / 2 * math.cos(angle), width / 2 * math.sin(angle)
        obj.face([(x - dx, 0, z - dz), (x + dx, 0, z + dz), (x + dx, height, z + dz), (x - dx, height, z - dz)],
                 "leaf", None, [(0, 0), (1, 0), (1, 1), (0, 1)])


def make_mesh():
    obj = Obj()
    front = Upright((0, 0, 0), (1, 0, 0))
    right = Upright((30, 0, 0), (0, 0, -1))
    back = Upright((30, 0, -20), (-1, 0, 0))
    left = Upright((0, 0, -20), (0, 0, 1))
    front_panes = [(6.75, 11.25, 2.5, 7.0), (7.75, 10.25, 11.5, 15.0)]
    door = (18.0, 21.0, 0.0, 7.0)
    left_pane = (8.0, 12.0, 2.5, 7.0)

    obj.group("front")
    add_wall(obj, front, [(0, 2, 9), (2, 16, 21), (16, 30, 9)], [*front_panes, door], (2, 16, 9, 21))
    obj.group("left")
    add_wall(obj, left, [(0, 20, 21)], [left_pane], (0, 20, 9, 21))
    obj.group("right")
    add_wall(obj, right, [(0, 20, 21)], [], (0, 20, 9, 21))
    obj.group("back")
    add_wall(obj, back, [(0, 30, 9)], [])
    obj.group("roof")
    add_roof(obj)
    obj.group("porch")
    add_box(obj, (16.75, 7.3, 0), (22.25, 7.75, 5), "timber", "xXyYZ")
    for post in (17.0, 21.5):
        add_box(obj, (post, 0, 4.25), (post + 0.5, 7.3, 4.75), "timber", "xXzZ")
    obj.group("chimney")
    add_chimney(obj)
    obj.group("windows")
    for pane in front_panes:
        add_opening(obj, front, pane, "glass")
    add_opening(obj, left, left_pane, "glass")
    obj.group("door")
    add_opening(obj, front, door, "oak")
    obj.group("shrubs")
    rng = random.Random(4)
    for x, z in ((3.2, 2.4), (5.7, 2.1), (8.3, 2.5), (10.9, 2.2), (13.6, 2.4), (23.3, 2.6), (29.6, 2.4)):
        add_shrub(obj, x, z, rng.uniform(2.6, 3.2), rng.uniform(2.6, 3.4), rng.uniform(0, 60))
    return obj.text()


MATERIALS = """# Kd is linear reflectance; the pictures are sRGB
newmtl stone
Kd 1 1 1
map_Kd stone.png

newmtl shingle
Kd 1 1 1
map_Kd shingle.png

newmtl leaf
Kd 1 1 1
map_Kd leaf.png
map_d leaf.png

newmtl timber
Kd 0.30 0.25 0.18

newmtl oak
Kd 1 1 1
map_Kd door.png

newmtl glass
Kd 1 1 1
map_Kd window.png

newmtl soot
Kd 0.03 0.03 0.03
"""


# ---- lamp -----------------------------------------------------------------------------------------------

def make_spot(lumens=380.0, half_beam=7.5):
    """I = I0 exp(-ln 2 (gamma / half beam)^1.5), given every degree; I0 such that the lumens hold with candela
    straight between the degrees: 2 pi times the integral of I sin gamma, solved in each zone."""
    shape = [math.exp(-math.log(2) * (gamma / half_beam) ** 1.5) for gamma in range(91)]
    flux = 0.0
    for degree, (a, b) in enumerate(zip(shape, shape[1:])):
        low, high = math.radians(degree), math.radians(degree + 1)
        flux += 2 * math.pi * (a * math.cos(low) - b * math.cos(high)
                               + (b - a) / (high - low) * (math.sin(high) - math.sin(low)))
    candela = [f"{value * lumens / flux:.1f}".removesuffix(".0") for value in shape]

    def wrap(words):
        lines = [""]
        for word in words:
            if len(lines[-1]) + len(word) > 77:
                lines.append("")
            lines[-1] += (" " if lines[-1] else "") + word
        return lines

    return "\n".join([
        "IES:LM-63-2019",
        "[TEST] SW-0533",
        "[TESTLAB] Sample Works photometric bench",
        "[ISSUEDATE] 09-SEP-2024",
        "[MANUFAC] Sample Works",
        "[LUMCAT] GS-5-SPOT",
        "[LUMINAIRE] Garden spot, 12 V, 5 W, beam 15 degrees",
        "[LAMP] LED, 2700 K",
        "[OTHER] Invented data for trying things out: no such fixture exists",
        "TILT=NONE",
        "1 -1 1 91 1 1 2 -0.04 -0.04 0",
        "1 1.0001 5.1",  # 1.0001: figures from a computer, not from a test (LM-63-2019, from memory)
        *wrap([str(gamma) for gamma in range(91)]),
        "0",
        *wrap(candela), ""])


def main():
    if sys.argv[1:] == ["--help"]:
        print(__doc__.strip())
        return
    if len(sys.argv) != 2 or sys.argv[1].startswith("-"):
        print(__doc__.strip(), file=sys.stderr)
        sys.exit(2)
    folder = pathlib.Path(sys.argv[1])
    lamps = folder.parent / "lamps"
    for made in (folder, lamps):
        made.mkdir(parents=True, exist_ok=True)
    (folder / "cottage.obj").write_text(make_mesh(), newline="\n")
    (folder / "cottage.mtl").write_text(MATERIALS, newline="\n")
    write_png(folder / "stone.png", 512, coursed_stone(512))
    write_png(folder / "shingle.png", 256, shingles(256))
    write_png(folder / "window.png", 128, window(128))
    write_png(folder / "door.png", 128, panelled_door(128))
    write_png(folder / "leaf.png", 256, leaf_card(256, 0.45), has_alpha=True)
    (lamps / "garden-spot-5w.ies").write_text(make_spot(), newline="\n")


if __name__ == "__main__":
    main()
