"""Counts as a person writes them: what is taken, and what is refused with file and line."""

from pathlib import Path

import pytest

from daemon.errors import InputError
from daemon.planning.experiment.counts import Counts, CupCount, counts_of
from daemon.planning.experiment.counts_file import read_counts


def read(folder: Path, text: str) -> Counts:
    (folder / "counts.csv").write_text(text, encoding="utf-8")
    return read_counts(folder / "counts.csv")


def faults(folder: Path, text: str) -> list[str]:
    with pytest.raises(InputError) as refused:
        read(folder, text)
    return [fault.replace(f"{folder / 'counts.csv'}", "FILE") for fault in refused.value.faults]


def test_counts_are_read_with_or_without_hours_and_warmth(tmp_path: Path) -> None:
    assert read(tmp_path, "level,cup,of,hatched\nsalty,A 1,50,31\n").cups == (
        CupCount("salty", "A 1", 50, 31),
    )
    warm = read(tmp_path, "level,cup,of,hatched,hours,water_c\n18,1,50,9,24,18.5\n18,1,50,30,48,\n")
    assert warm.cups == (
        CupCount("18", "1", 50, 9, 24.0, 18.5),
        CupCount("18", "1", 50, 30, 48.0, None),
    )
    assert read(tmp_path, "level,cup,of,hatched,water_c\n18,1,50,9,18.5\n").cups[0].water_c == 18.5
    assert warm.hours == (24.0, 48.0)
    turned = read(tmp_path, "hatched,of,,level,cup\n31,50,,salty,A 1\n,,,salty,A 2\n,,,,\n")
    assert turned.cups == (CupCount("salty", "A 1", 50, 31),)
    assert turned.uncounted == (("salty", "A 2"),)


def test_levels_that_are_numbers_stand_by_size_and_words_as_they_came(tmp_path: Path) -> None:
    rows = "".join(f"{level},{cup},50,9\n" for cup in "ab" for level in ("60", "9", "30.5"))
    assert read(tmp_path, "level,cup,of,hatched\n" + rows).levels == ("9", "30.5", "60")
    assert read(tmp_path, "level,cup,of,hatched\nwarm,1,5,1\n9,1,5,1\n").levels == ("warm", "9")
    units = "".join(f"{level},1,50,9\n" for level in ("60 g/L", "9 g/L", "25 g/L"))
    assert read(tmp_path, "level,cup,of,hatched\n" + units).levels == ("9 g/L", "25 g/L", "60 g/L")


def test_all_faults_of_a_file_are_said_with_their_lines(tmp_path: Path) -> None:
    assert faults(
        tmp_path,
        "level,cup,of,hatched,hours\n10,1,50,51,24\n,2,50,1,24\n10,3,fifty,x,24\n10,4,0,0,-1\n10,5,50,3,x\n",
    ) == [
        "FILE:2: hatched: found 51; allowed: 0 to 50, as many as are in the cup",
        "FILE:3: level: found ''; allowed: a name of up to 40 characters",
        "FILE:4: of: found 'fifty'; allowed: a whole number, such as 50",
        "FILE:4: hatched: found 'x'; allowed: a whole number, such as 50",
        "FILE:5: of: found 0; allowed: cysts in the cup, 1 to 10000",
        "FILE:5: hours: found -1; allowed: hours since setting, above 0 and up to 720",
        "FILE:6: hours: found 'x'; allowed: a plain number with a decimal point, such as 21.5, or nothing",
    ]


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        (
            "level,cup,hatched\n",
            (
                "FILE:1: found the header 'level,cup,hatched'; allowed: level,cup,of,hatched, "
                "in any order, and beside them some of hours, water_c, salt_g_per_l, lost, why"
            ),
        ),
        ("level,cup,of,hatched\n", "FILE: found 0 counts; allowed: 1 to 400"),
        (
            "level,cup,of,hatched\n10,1,50,3\n10,1,50,4\n",
            "FILE:3: found this cup a second time; allowed: one count a cup, or one a cup and hour",
        ),
        (
            "level,cup,of,hatched\n10,1,50,3\n10.0,1,50,4\n",
            "FILE:3: found the level '10' written in another way; allowed: one way",
        ),
        (
            "level,cup,of,hatched\n10 g/L,1,50,3\n10 g/l,1,50,4\n",
            "FILE:3: found the level '10 g/L' written in another way; allowed: one way",
        ),
        (
            "level,cup,of,hatched,hours\n10,1,50,3,\n20,1,50,4,24\n",
            "FILE: found hours for some counts and none for others; allowed: for all or none",
        ),
        (
            "level,cup,of,hatched\n" + "".join(f"{n},1,5,1\n" for n in range(21)),
            "FILE: found 21 levels; allowed: up to 20",
        ),
        (
            "level,cup,of,hatched\n" + "".join(f"1,{n},10000,1\n" for n in range(91)),
            "FILE: found 910000 cysts in all; allowed: up to 900000",
        ),
        ("level,cup,of,hatched\n10,1,50\n", "FILE:2: found 3 columns; allowed: 4 (level,cup,of,hatched)"),
        (
            "level,cup,of,hatched,water_c\n10,1,50,3,99\n",
            "FILE:2: water_c: found 99; allowed: -5 to 60 °C",
        ),
    ],
)
def test_what_cannot_be_counted_is_refused_in_one_line(tmp_path: Path, text: str, fault: str) -> None:
    assert faults(tmp_path, text) == [fault]


def test_counts_from_a_page_are_checked_alike_with_level_and_cup() -> None:
    with pytest.raises(InputError) as refused:
        counts_of([CupCount("10", "1", 50, 51), CupCount("10", "2", 0, 0)])
    assert refused.value.faults == (
        "level '10', cup '1': hatched: found 51; allowed: 0 to 50, as many as are in the cup",
        "level '10', cup '2': of: found 0; allowed: cysts in the cup, 1 to 10000",
    )
