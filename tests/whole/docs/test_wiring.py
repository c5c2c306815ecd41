"""The wiring pages and drawings: pins, wires, parts, station files and lines, checked against the outside.

Header pins: gpiozero's own board data. Which chip pin is which signal: the data sheets, from memory
(DS18B20; MCP3008, DIP-16); the Pi's SPI0, I²C1 and 1-Wire pins likewise, and gpiozero's pin functions.
"""

import math
import re
import tomllib
import xml.etree.ElementTree as ElementTree  # our own files
from collections.abc import Iterator
from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest
from gpiozero import PiBoardInfo

from daemon.commissioning.probes.calibration import ICE_NEAR_K
from daemon.station import Station
from sensors.light_scale import LightScale
from sensors.reading import Measure
from tests.kit.checkout import DOCS
from tests.kit.station import probe, station, vessel

WIRING = DOCS / "wiring"
PAGES = {page.stem: page.read_text("utf-8") for page in sorted(WIRING.glob("*.md"))}
DRAWINGS = sorted(WIRING.glob("*.svg"))

SVG = "{http://www.w3.org/2000/svg}"
# A 3B+, a Zero 2 W, a 4B; the 5's header is the 4's.
REVISIONS = (0xA020D3, 0x902120, 0xC03111)
HEADER = PiBoardInfo.from_revision(0xC03111).headers["J8"].pins

Point = tuple[float, float]


def fenced(page: str, language: str) -> list[str]:
    return re.findall(rf"^```{language}\n(.*?)^```", PAGES[page], re.MULTILINE | re.DOTALL)


def pin_rows(page: str) -> list[tuple[int, str, str]]:
    rows = re.findall(r"^\| (\d+) \| (\w+) \| (.+) \|$", PAGES[page], re.MULTILINE)
    return [(int(number), name, what) for number, name, what in rows]


# Header -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("revision", REVISIONS)
@pytest.mark.parametrize("page", list(PAGES))
def test_every_header_pin_on_a_page_has_gpiozeros_name(page: str, revision: int) -> None:
    pins = PiBoardInfo.from_revision(revision).headers["J8"].pins
    told = pin_rows(page)
    assert told
    assert [(number, name) for number, name, _ in told] == [(n, pins[n].name) for n, _, _ in told]


def test_the_header_drawing_names_all_forty_pins_as_gpiozero_does() -> None:
    texts = list(ElementTree.parse(WIRING / "header.svg").iter(f"{SVG}text"))
    names = {int(text.get("data-pin", "0")): text.text for text in texts if "data-pin" in text.attrib}
    assert names == {number: pin.name for number, pin in HEADER.items()}
    numbers = {text.get("data-number"): text for text in texts if "data-number" in text.attrib}
    assert {label: element.text for label, element in numbers.items()} == {str(n): str(n) for n in HEADER}


def test_the_header_drawing_has_each_pin_at_its_place() -> None:
    """Odd numbers left, even ones right, downwards; a name stands in the row of its number."""
    texts = list(ElementTree.parse(WIRING / "header.svg").iter(f"{SVG}text"))
    at = {int(t.attrib["data-number"]): _place(t) for t in texts if "data-number" in t.attrib}
    names = {int(t.attrib["data-pin"]): _place(t) for t in texts if "data-pin" in t.attrib}
    for number, pin in HEADER.items():
        x, y = at[number]
        assert x == at[pin.col][0]
        assert y == pytest.approx(at[1][1] + (pin.row - 1) * 27)
        assert names[number][1] == pytest.approx(y, abs=1)
        assert (names[number][0] < x) is (pin.col == 1)


def _place(text: ElementTree.Element) -> Point:
    return float(text.attrib["x"]), float(text.attrib["y"])


def test_the_contents_table_holds_exactly_the_pins_of_the_pages() -> None:
    used = {(number, name) for page in PAGES if page != "index" for number, name, _ in pin_rows(page)}
    assert {(number, name) for number, name, _ in pin_rows("index")} == used


def test_no_two_pages_claim_the_same_gpio_and_none_uses_5_v() -> None:
    owners: dict[int, set[str]] = {}
    for page in PAGES:
        for number, name, _ in pin_rows(page):
            assert name != "5V"
            if page not in ("index", "joining") and name.startswith("GPIO"):
                owners.setdefault(number, set()).add(page)
    assert owners
    assert all(len(pages) == 1 for pages in owners.values()), owners


def test_what_is_joined_by_hand_is_what_the_thermometers_page_wires() -> None:
    assert {row[:2] for row in pin_rows("joining")} == {row[:2] for row in pin_rows("ds18b20")}


def test_the_i2c_and_spi_pins_can_do_that_by_gpiozeros_data() -> None:
    i2c = [HEADER[n] for n, name, _ in pin_rows("i2c") if name.startswith("GPIO")]
    spi = [HEADER[n] for n, name, _ in pin_rows("mcp3008") if name.startswith("GPIO")]
    assert len(i2c) == 2
    assert len(spi) == 4
    assert all("i2c" in pin.interfaces and pin.pull == "up" for pin in i2c)  # so no further resistors
    assert all("spi" in pin.interfaces for pin in spi)


# Drawings: every wire followed ----------------------------------------------------------------------------

# What is joined to what; each line one net. Written from the data sheets and from what the drivers expect,
# not from the drawings.
NETS: dict[str, list[str]] = {
    "ds18b20": [
        "pin 1, probe VDD, R 4.7 kΩ top",
        "pin 7, probe DQ, R 4.7 kΩ bottom",
        "pin 6, probe GND",
    ],
    "joining": [
        "pin 1, probe red, R 4.7 kΩ bottom",
        "pin 7, probe yellow, R 4.7 kΩ top",
        "pin 6, probe black",
    ],
    "ds18b20-several": [
        "pin 1, box 1 red, box 2 red, box 3 red, R 4.7 kΩ left",
        "pin 7, box 1 yellow, box 2 yellow, box 3 yellow, R 4.7 kΩ right",
        "pin 6, box 1 black, box 2 black, box 3 black",
    ],
    "mcp3008": [
        "pin 17, chip VDD, chip VREF, C1 top, LDR top",
        "pin 20, chip AGND, C1 bottom",
        "pin 23, chip CLK",
        "pin 21, chip DOUT",
        "pin 19, chip DIN",
        "pin 24, chip CS",
        "pin 25, chip DGND, R 1 kΩ bottom, C2 bottom",
        "chip CH0, LDR bottom, R 1 kΩ top, C2 top",
        *(f"chip CH{n}" for n in range(1, 8)),
    ],
    "i2c": [
        "pin 1, light VCC, humidity VCC",
        "pin 3, light SDA, humidity SDA",
        "pin 5, light SCL, humidity SCL",
        "pin 9, light GND, humidity GND",
    ],
    "float": ["pin 11, R 1 kΩ left", "R 1 kΩ right, switch left", "pin 14, switch right"],
    "rgb-led-button": [
        *(f"pin {pin}, R {colour} left" for pin, colour in ((29, "red"), (31, "green"), (33, "blue"))),
        *(f"R {colour} right, {colour} anode" for colour in ("red", "green", "blue")),
        "pin 37, button left",
        "pin 39, red cathode, green cathode, blue cathode, button right",
    ],
    "led-button": [
        "pin 29, R LED left",
        "R LED right, LED anode",
        "pin 37, button left",
        "pin 39, LED cathode, button right",
    ],
}


def wire(d: str) -> list[Point]:
    """The corners of a path of M, H and V."""
    x = y = 0.0
    corners = []
    for step, numbers in re.findall(r"([MHV])([-\d. ]+)", d):
        first, *second = (float(number) for number in numbers.split())
        if step != "H":
            y = second[0] if step == "M" else first
        if step != "V":
            x = first
        corners.append((x, y))
    return corners


def on(point: Point, corners: list[Point]) -> bool:
    x, y = point
    return any(
        min(a[0], b[0]) <= x <= max(a[0], b[0]) and min(a[1], b[1]) <= y <= max(a[1], b[1])
        for a, b in pairwise(corners)
    )


class Drawing:
    """The wires, ends and joints of one drawing."""

    def __init__(self, svg: str) -> None:
        root = ElementTree.fromstring(svg)
        circles = list(root.iter(f"{SVG}circle"))
        self.wires = [
            wire(path.attrib["d"])
            for path in root.iter(f"{SVG}path")
            if path.get("class", "").startswith("wire")
        ]
        self.ends = {c.attrib["data-end"]: _centre(c) for c in circles if "data-end" in c.attrib}
        self.joints = {_centre(c) for c in circles if c.get("class") == "joint"}

    def tees(self) -> Iterator[Point]:
        """Where a wire ends on another wire's middle."""
        for one in self.wires:
            for tip in (one[0], one[-1]):
                if any(on(tip, two) and tip not in (two[0], two[-1]) for two in self.wires if two is not one):
                    yield tip

    def nets(self) -> set[frozenset[str]]:
        """Which ends are joined: wires that only cross are not."""
        groups = [{place} for place in self.ends.values()] + [set(corners) for corners in self.wires]
        touching = [[*self._on(corners), corners[0], corners[-1]] for corners in self.wires]
        for points in touching:
            met = [group for group in groups if group & set(points)]
            groups = [group for group in groups if group not in met] + [set().union(*met, points)]
        return {frozenset(n for n, place in self.ends.items() if place in group) for group in groups} - {
            frozenset()
        }

    def _on(self, corners: list[Point]) -> list[Point]:
        tips = {tip for two in self.wires for tip in (two[0], two[-1])}
        return [p for p in (*self.ends.values(), *self.joints, *tips) if on(p, corners)]


def _centre(circle: ElementTree.Element) -> Point:
    return float(circle.attrib["cx"]), float(circle.attrib["cy"])


@cache
def drawing(name: str) -> Drawing:
    return Drawing((WIRING / f"{name}.svg").read_text("utf-8"))


def expected(name: str) -> set[frozenset[str]]:
    return {frozenset(net.split(", ")) for net in NETS[name]}


@pytest.mark.parametrize("name", NETS)
def test_the_wires_of_a_drawing_join_what_belongs_together_and_nothing_else(name: str) -> None:
    assert drawing(name).nets() == expected(name)


@pytest.mark.parametrize("name", NETS)
def test_a_dot_stands_wherever_a_wire_meets_anothers_middle_and_nowhere_else(name: str) -> None:
    found = drawing(name)
    ends = set(found.ends.values())
    assert found.joints - ends == set(found.tees()) - ends


def test_a_wire_on_a_wrong_pin_a_cut_and_a_stray_joint_would_be_noticed() -> None:
    svg = (WIRING / "ds18b20.svg").read_text("utf-8")
    for right, wrong in (
        ("M130 90H282", "M130 170H282"),
        ("M180 152V170", "M180 152V160"),
        ("M180 152V170", "M180 152V240"),
    ):
        assert right in svg
        assert Drawing(svg.replace(right, wrong)).nets() != expected("ds18b20")


@pytest.mark.parametrize(
    ("page", "name"),
    [
        ("ds18b20", "ds18b20"),
        ("ds18b20", "ds18b20-several"),
        ("joining", "joining"),
        ("mcp3008", "mcp3008"),
        ("i2c", "i2c"),
        ("float", "float"),
        ("indicator", "rgb-led-button"),
        ("indicator", "led-button"),
    ],
)
def test_a_drawing_is_on_its_page_and_shows_pins_of_its_table(page: str, name: str) -> None:
    assert f"({name}.svg)" in PAGES[page]
    drawn = {end for end in drawing(name).ends if end.startswith("pin ")}
    told = {f"pin {number}" for number, _, _ in pin_rows(page)}
    assert drawn <= told
    assert drawn == told or name == "led-button"
    texts = {text.text for text in ElementTree.parse(WIRING / f"{name}.svg").iter(f"{SVG}text")}
    for end in drawn:
        assert end in texts
        assert HEADER[int(end.removeprefix("pin "))].name in texts


@pytest.mark.parametrize("name", NETS)
def test_the_words_beside_an_end_are_the_ends_own(name: str) -> None:
    """Of all words of a kind, those nearest to a header pin or a terminal name that very one."""
    texts = [
        (text.text or "", _place(text))
        for text in ElementTree.parse(WIRING / f"{name}.svg").iter(f"{SVG}text")
    ]
    ends = drawing(name).ends
    for end, place in ends.items():
        if end.startswith("pin "):
            assert nearest(place, texts, r"pin \d+") == end
            assert nearest(place, texts, "3V3|GND|GPIO\\d+") == HEADER[int(end.removeprefix("pin "))].name
        elif (kind := end.split()[0]) in ("probe", "box", "light", "humidity"):
            words = "|".join(e.split()[-1] for e in ends if e.startswith(kind))
            assert nearest(place, texts, words) == end.split()[-1]
        elif kind == "chip":
            assert end.split()[1] in nearest(place, texts, r"[A-Z]+ \d+|\d+ CH\d").split()


def nearest(place: Point, texts: list[tuple[str, Point]], pattern: str) -> str:
    fitting = [(math.dist(place, at), text) for text, at in texts if re.fullmatch(pattern, text)]
    return min(fitting)[1]


CHIP = {"VDD": 16, "VREF": 15, "AGND": 14, "CLK": 13, "DOUT": 12, "DIN": 11, "CS": 10, "DGND": 9}


def test_the_converters_pins_are_those_of_its_data_sheet_in_table_and_drawing() -> None:
    texts = {text.text for text in ElementTree.parse(WIRING / "mcp3008.svg").iter(f"{SVG}text")}
    told = dict(re.findall(r"chip pin (\d+) ([A-Z]+)", PAGES["mcp3008"]))
    assert {name: int(number) for number, name in told.items()} == CHIP
    assert {f"{name} {number}" for name, number in CHIP.items()} <= texts
    assert {f"{n + 1} CH{n}" for n in range(8)} <= texts


# Drawings: to be read by everybody ------------------------------------------------------------------------


@pytest.mark.parametrize("path", DRAWINGS, ids=lambda path: path.name)
def test_a_drawing_says_in_words_what_it_shows_and_scales(path: Path) -> None:
    root = ElementTree.parse(path).getroot()
    title, desc = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert title is not None
    assert desc is not None
    assert root.attrib["aria-labelledby"].split() == [title.get("id"), desc.get("id")]
    assert len(title.text or "") > 20
    assert len(desc.text or "") > 80
    assert root.attrib["viewBox"].startswith("0 0 ")
    assert root.find(f"{SVG}image") is None
    assert "href" not in path.read_text("utf-8")


@pytest.mark.parametrize("name", NETS)
def test_a_drawings_words_name_each_header_pin_with_its_name(name: str) -> None:
    desc = ElementTree.parse(WIRING / f"{name}.svg").findtext(f"{SVG}desc") or ""
    for end in drawing(name).ends:
        if end.startswith("pin "):
            assert re.search(rf"\b{end.removeprefix('pin ')}\b", desc), end


@pytest.mark.parametrize("path", DRAWINGS, ids=lambda path: path.name)
def test_a_drawings_letters_are_readable_on_a_phone(path: Path) -> None:
    """At 360 px (a phone of 390 with its margins), the smallest type is at least 10 px."""
    svg = path.read_text("utf-8")
    width = float(ElementTree.fromstring(svg).attrib["viewBox"].split()[2])
    sizes = [float(size) for size in re.findall(r"(?:font-size: |font: )([\d.]+)px", svg)]
    assert min(sizes) * 360 / width >= 10


def _luminance(colour: str) -> float:
    """WCAG 2.1, definition of relative luminance."""
    digits = colour.removeprefix("#")
    digits = "".join(2 * c for c in digits) if len(digits) == 3 else digits
    parts = [int(digits[i : i + 2], 16) / 255 for i in (0, 2, 4)]
    r, g, b = (p / 12.92 if p <= 0.03928 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


@pytest.mark.parametrize("path", DRAWINGS, ids=lambda path: path.name)
def test_wires_and_letters_stand_out_from_white(path: Path) -> None:
    """WCAG 2.1: 3:1 for graphics, 4.5:1 for text; all lines here reach 4.5."""
    svg = path.read_text("utf-8")
    strokes = re.findall(r"\.(?:v33|gnd|sig|data|line|part|box) \{[^}]*stroke: (#\w+)", svg)
    (letters,) = re.findall(r"^ +text \{[^}]*fill: (#\w+)", svg, re.MULTILINE)
    for colour in (*strokes, letters):
        assert 1.05 / (_luminance(colour) + 0.05) >= 4.5, colour


# What people copy -----------------------------------------------------------------------------------------

WATER = probe("cup-water", driver="ds18b20", address="28-000000000001")


def station_of(snippet: str) -> Station:
    """A whole station around a page's snippet; its vessel takes one probe of each measure."""
    whole = snippet if "water_c" in snippet else f"{snippet}\n{WATER}"
    probes = {told["measures"]: told["id"] for told in tomllib.loads(whole)["probe"]}
    return station(whole, vessel("a", *probes.values()))


SNIPPETS = [(page, snippet) for page in PAGES for snippet in fenced(page, "toml")]


@pytest.mark.parametrize(("page", "snippet"), SNIPPETS)
def test_the_lines_for_the_station_file_fit_one(page: str, snippet: str) -> None:
    assert station_of(snippet).vessels


def test_every_wiring_page_has_lines_for_the_station_file() -> None:
    assert {page for page, _ in SNIPPETS} == set(PAGES) - {"index", "joining"}


def told_gpios(snippet: str) -> dict[str, int]:
    tables = tomllib.loads(snippet)
    pins = {probe["id"]: probe["pin"] for probe in tables.get("probe", []) if "pin" in probe}
    lights = {key: value for key, value in tables.get("indicator", {}).items() if isinstance(value, int)}
    return pins | lights


@pytest.mark.parametrize(("page", "snippet"), SNIPPETS)
def test_a_pin_in_the_station_lines_is_the_one_that_is_wired(page: str, snippet: str) -> None:
    for key, gpio in told_gpios(snippet).items():
        rows = [(name, what) for _, name, what in pin_rows(page) if name == f"GPIO{gpio}"]
        assert rows, key
        if page == "indicator":
            word = {"led": "LED", "button": "button"}.get(key, key)
            assert any(word in what for _, what in rows), key


def test_the_lines_of_the_pages_fit_one_station_together() -> None:
    """Everything wired at once; ids that two pages use are told apart first."""
    i2c = fenced("i2c", "toml")[0].replace('"tray-light"', '"tray-lux"').replace('"room-air"', '"room-air-2"')
    parts = [fenced(page, "toml")[0] for page in ("ds18b20", "mcp3008", "float", "indicator")]
    station = station_of("\n".join([i2c, *parts]))
    assert {plan.measures for plan in station.probes} == set(Measure)


@pytest.mark.parametrize(
    ("page", "line"),
    [("ds18b20", "dtoverlay=w1-gpio"), ("mcp3008", "dtparam=spi=on"), ("i2c", "dtparam=i2c_arm=on")],
)
def test_the_line_for_config_txt_stands_alone_on_its_page_and_in_the_contents(page: str, line: str) -> None:
    assert line in fenced(page, "ini")[0].splitlines()
    assert re.search(rf"\({page}\.md\).*`{re.escape(line)}`", PAGES["index"])


def share(lux: float, fixed_ohm: float, ldr_at_10_lux_ohm: float = 10e3) -> float:
    """Of full scale, at CH0: the divider's law, and an LDR's R = R₁₀ (E / 10 lux)^−γ with γ = 0.7 [M]."""
    return fixed_ohm / (fixed_ohm + ldr_at_10_lux_ohm * (lux / 10.0) ** -0.7)


def off_below_lux(fixed_ohm: float, ldr_at_10_lux_ohm: float = 10e3) -> float:
    """Where a lamp is judged off whose probe was scaled at 2 lux and under a lamp of 1840 lux: by halving."""
    dark, lit = (share(lux, fixed_ohm, ldr_at_10_lux_ohm) for lux in (2.0, 1840.0))
    limit = station_of(fenced("mcp3008", "toml")[0]).vessels[0].low_light_fraction
    below, above = 2.0, 1840.0
    while above - below > 0.01:
        middle = (below + above) / 2
        on = LightScale(dark, lit).fraction(share(middle, fixed_ohm, ldr_at_10_lux_ohm)) >= limit
        below, above = (below, middle) if on else (middle, above)
    return above


def test_the_dividers_table_follows_from_its_law() -> None:
    rows = re.findall(
        r"^\| (\d+) kΩ \| ([\d.]+) \| ([\d.]+) \| ([\d.]+) \| (\d+) lux \|$", PAGES["mcp3008"], re.MULTILINE
    )
    assert [row[0] for row in rows] == ["1", "10"]
    for kilo_ohm, *shares, off in rows:
        fixed = float(kilo_ohm) * 1e3
        assert [float(told) for told in shares] == [
            pytest.approx(share(lux, fixed), abs=0.006) for lux in (2.0, 10.0, 1840.0)
        ]
        assert float(off) == pytest.approx(off_below_lux(fixed), abs=0.6)
    (low, high) = re.findall(r"begins below (\d+) to (\d+) lux", PAGES["mcp3008"])[0]
    assert [float(low), float(high)] == [pytest.approx(off_below_lux(1e3, r), abs=0.6) for r in (5e3, 20e3)]


def test_the_divider_drawn_keeps_the_corridors_light_from_passing_for_the_lamp() -> None:
    """Up to some 10 lux: 1 on an escape route (EN 1838 [M]), 15 on a quiet street before it comes through a
    window (EN 13201, class P1 [M])."""
    drawn = {e for e in drawing("mcp3008").ends if e.startswith("R ")}
    assert drawn == {"R 1 kΩ top", "R 1 kΩ bottom"}
    assert off_below_lux(1e3) > 20.0
    assert off_below_lux(10e3) < 10.0


def test_the_example_lines_are_a_scale_that_the_divider_drawn_gives() -> None:
    for lines in (
        fenced("mcp3008", "toml")[0],
        (DOCS / "reference" / "station.example.toml").read_text("utf-8"),
    ):
        (told,) = [p for p in tomllib.loads(lines)["probe"] if p["driver"] == "mcp3008"]
        assert told["dark"] == pytest.approx(share(2.0, 1e3), abs=0.006)
        assert told["lit"] == pytest.approx(share(1840.0, 1e3), abs=0.006)


RINGS = ("black", "brown", "red", "orange", "yellow", "green", "blue", "violet", "grey", "white")


def test_the_rings_of_the_resistors_give_their_values() -> None:
    """IEC 60062: two or three digits, a power of ten, and how far off it may be (gold 5 %, brown 1 %)."""
    rows = re.findall(r"^\| ([\d.]+) (k?)Ω \| ([a-z, ]+) \| ([a-z, ]+) \|$", PAGES["index"], re.MULTILINE)
    assert [value + kilo for value, kilo, _, _ in rows] == ["4.7k", "1k", "330"]
    for value, kilo, *codes in rows:
        ohm = float(value) * (1000 if kilo else 1)
        (*digits, power, off), (*three, to_the, within) = (code.split(", ") for code in codes)
        assert (len(digits), off, len(three), within) == (2, "gold", 3, "brown")
        for figures, exponent in ((digits, power), (three, to_the)):
            number = int("".join(str(RINGS.index(ring)) for ring in figures))
            assert number * 10 ** RINGS.index(exponent) == pytest.approx(ohm)
    parts = set(re.findall(r"^\| resistors? ([\d.]+ k?Ω)", PAGES["index"], re.MULTILINE))
    assert parts == {f"{value} {kilo}Ω" for value, kilo, _, _ in rows}


def test_what_the_meter_should_show_follows_from_the_parts() -> None:
    """A resistor of 5 %; the Pi's 3.3 V within 3 % (no source); the probe takes 3.0 to 5.5 V [M]."""
    checks = re.findall(
        r"^\| (\d) \| .* \| (.+) \|$", section_of("joining", "The multimeter's four checks"), re.M
    )
    assert [number for number, _ in checks] == ["1", "2", "3", "4"]
    low, high = (float(n) for n in re.findall(r"[\d.]+", dict(checks)["1"]))
    assert (low, high) == (pytest.approx(4.7 * 0.95, abs=0.05), pytest.approx(4.7 * 1.05, abs=0.05))
    low, high = (float(n) for n in re.findall(r"[\d.]+", dict(checks)["3"]))
    assert 3.0 < low < 3.3 < high
    assert (low, high) == (pytest.approx(3.3 * 0.97, abs=0.01), pytest.approx(3.3 * 1.03, abs=0.01))


def section_of(page: str, heading: str) -> str:
    return PAGES[page].split(f"\n## {heading}\n")[1].split("\n## ")[0]


def test_the_boards_stand_at_their_addresses_in_what_i2cdetect_shows() -> None:
    """Data sheets [M]: BH1750 0x23 or 0x5c, SHT3x 0x44 or 0x45, BME280 0x76 or 0x77."""
    known = {"BH1750": (0x23, 0x5C), "SHT3x": (0x44, 0x45), "BME280": (0x76, 0x77)}
    rows = re.findall(r"^\| (\w+) \| (0x\w\w) \| (0x\w\w) \|$", PAGES["i2c"], re.MULTILINE)
    assert {name: (int(one, 16), int(two, 16)) for name, one, two in rows} == known
    (shown,) = fenced("i2c", "console")
    held = [
        int(row[:2], 16) + column
        for row in shown.splitlines()[1:]
        for column, cell in enumerate(row[4:].split())
        if cell == "UU"
    ]
    assert held == [known["BH1750"][0], known["SHT3x"][0]]


def test_there_is_one_ice_check_and_the_pages_send_to_it() -> None:
    assert "(../how-to/probes.md#2-the-ice-water-check)" in section_of("ds18b20", "Check it in ice water")
    guide = (DOCS / "how-to" / "probes.md").read_text("utf-8")
    assert f"more than {ICE_NEAR_K:g} °C away from" in " ".join(guide.split())
    told = [page for page, text in PAGES.items() if re.search(r"crushed ice|in ice.* reads", text)]
    assert told == []


def test_each_page_sends_to_the_warnings_first() -> None:
    for page in PAGES:
        if page != "index":
            assert "(index.md#before-you-touch-anything)" in PAGES[page].split("\n## ")[0].split("![")[0]
    for word in (
        "30 mA or less",
        "drip\n  loop",
        "electrician",
        "never switches mains",
        "no fire alarm",
        "5 V",
    ):
        assert word.replace("\n  ", " ") in re.sub(r"\s+", " ", PAGES["index"]).replace("**", "")
