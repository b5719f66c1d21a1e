"""How fast the place and season computation is: run `python tests/benchmarks/season_speed.py`; it prints seconds.

Targets: a place profile from a 30-year daily file under 1 s; the seasons of nine species at a place under 0.2 s, also
with temperatures; 3,000 places with nine species in one command on both cores. No test depends on these times.
"""

from __future__ import annotations

import resource
import sys
import tempfile
import time
from pathlib import Path

from handouts import batch, build
from handouts.paths import content_dir
from handouts.place.known import from_mapping
from handouts.place.profile import profile
from handouts.season import diapause, opening
from handouts.season.windows import season

SERIES = Path(__file__).parent.parent / "data" / "series"
NINE = (
    "black-swallowtail", "monarch", "eastern-tiger-swallowtail", "spicebush-swallowtail", "giant-swallowtail",
    "pipevine-swallowtail", "zebra-swallowtail", "anise-swallowtail", "painted-lady",
)  # fmt: skip
PLACES = 3000


def report(what: str, seconds: float, more: str = "") -> None:
    """Print one line."""
    print(f"{seconds:8.3f} s  {what}{more}")


def main(places: int = PLACES) -> None:
    """Measure and print."""
    where = build.Folders(content_dir())
    start = time.perf_counter()
    library = build.library(where)
    report("read the content", time.perf_counter() - start)

    fields = {"latitude": "34.66", "longitude": "-82.82", "daily": str(SERIES / "USC00381770_1971-2020.csv.gz")}
    start = time.perf_counter()
    here = profile(from_mapping(fields, SERIES, "benchmark"), content_dir(), (2027,))
    report("profile of a place from a daily file, its last 30 of 50 years", time.perf_counter() - start)

    for what, found in (("with temperatures", here), ("by frost dates", _dated(where))):
        diapause.turn.cache_clear()
        opening.heat_opening.cache_clear()
        start = time.perf_counter()
        for species in NINE:
            season(library, species, found, 2027)
        report(f"nine species at a place {what}", time.perf_counter() - start)

    with tempfile.TemporaryDirectory() as folder:
        source = Path(folder) / "places.csv"
        source.write_text(_list(places), encoding="utf-8")
        for ending in batch.ENDINGS:
            target = source.with_name(f"out{ending}")
            start = time.perf_counter()
            counts = batch.seasons_file(source, target, where, NINE, 2027)
            size = target.stat().st_size / 1e6
            report(
                f"{counts.done} places, nine species, {ending}",
                time.perf_counter() - start,
                f" ({size:.0f} MB written)",
            )
    for who, name in ((resource.RUSAGE_SELF, "this process"), (resource.RUSAGE_CHILDREN, "the largest worker")):
        print(f"{resource.getrusage(who).ru_maxrss / 1024:8.0f} MB  most memory of {name}")


def _dated(where: build.Folders) -> object:
    known = build.known_place("lat=42.1,lon=-88,last-freeze=05-01,first-freeze=10-15", Path(), where)
    return build.place_profile(known, where, 2027)


def _list(places: int) -> str:
    """A list of places from 26 to 48 degrees north, with freezes."""
    rows = ["id,zone,latitude,longitude,last_freeze,first_freeze"]
    for at in range(places):
        north, east = 26 + 22 * (at * 37 % places) / places, -122 + 52 * (at * 53 % places) / places
        rows.append(f"p{at},6a,{north:.2f},{east:.2f},04-{at % 28 + 1:02},10-{at * 3 % 28 + 1:02}")
    return "\n".join(rows) + "\n"


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else PLACES)
