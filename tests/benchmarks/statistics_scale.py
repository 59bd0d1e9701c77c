"""What statistics, cases and upkeep cost with ten thousand, a hundred thousand and a million cases in one database.

Run from the root: ``python tests/benchmarks/statistics_scale.py [sizes ...] [--full] [--folder FOLDER]``. Without sizes
10,000 and 100,000; ``--full`` adds 1,000,000, which takes about half an hour and 10 GB of disk. All data are invented
and seeded, in a folder that is deleted at the end. Everything goes through the service as a moderator, helper or member
would ask it, pictures included where it says so; wall clock, and processor time beside it, warm. In the same run, the
naive way: counting from the cases.
"""

import argparse
import asyncio
import json
import os
import sys
import tempfile
from collections import Counter
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from dataclasses import dataclass, replace
from datetime import timedelta
from multiprocessing import get_context
from pathlib import Path
from random import Random
from time import perf_counter, process_time

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]
os.environ |= dict.fromkeys(("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"), "1")

import numpy as np  # noqa: E402 - after path and threads are set
from many_cases import CLUB, MONTHS, NOW, OPEN, judge_moulds, write_cases  # noqa: E402 - likewise

from bot.compose import compose  # noqa: E402 - likewise
from bot.settings import Settings  # noqa: E402 - likewise
from core.cases import lessons, tallies  # noqa: E402 - likewise
from core.cases.privacy import load_secret, pseudonym  # noqa: E402 - likewise
from core.cases.rows import CaseKey, Community  # noqa: E402 - likewise
from core.cases.store import Store  # noqa: E402 - likewise
from core.commands import Asker, Inquiry  # noqa: E402 - likewise

SIZES, FULL = (10_000, 100_000), 1_000_000
MOULDS, SEED = 300, 2026
RUNS, WARM = 40, 3
ASKED_MS = {"stats": 200.0, "open a case": 20.0}
"""What was asked for at the 95th percentile: any statistic, and opening a case (store part)."""
ROLES = {"member": frozenset(), "helper": frozenset({"r-help"}), "moderator": frozenset({"r-mod"})}
VIEWS = {
    "stats causes": ("stats causes", {}),
    **{f"stats causes by {by}": ("stats causes", {"by": by}) for by in ("adjusters", "homing", "size", "raised")},
    "stats remedies": ("stats remedies", {}),
    "stats remedies, two compared": ("stats remedies", {"step": "level_plate", "other": "shorten_burn_in"}),
    "stats trend": ("stats trend", {}),
    "stats readings": ("stats readings", {}),
    "stats quality": ("stats quality", {}),
    "stats export": ("stats export", {}),
}


@dataclass(frozen=True, slots=True)
class Figure:
    """What a call took, ms: on the wall, and of the processor, which other work on the machine disturbs less."""

    median: float
    p95: float
    processor: float
    processor_p95: float


class NoPictures(Executor):
    """Draws nothing, so that what a figure costs is told apart from what its picture costs."""

    def submit(self, _work, /, *_args, **_kwargs):
        """Return at once."""
        done = Future()
        done.set_result(())
        return done


class Bench:
    """One database and those who ask; every inquiry comes ten seconds after the one before."""

    def __init__(self, house, path, size, secret):
        self.house, self.path, self.size, self.secret = house, path, size, secret
        self.at, self.dice = NOW, Random(SEED)  # noqa: S311 - which cases are opened
        self.plain = replace(house.service, drawing=NoPictures())
        self.figures: dict[str, Figure] = {}

    def inquiry(self, rank, command, text="", *, person="", **options):
        """Return an inquiry in the large club."""
        self.at += timedelta(seconds=10)
        asker = Asker(CLUB, "c-help", person or rank, language="en", roles=ROLES[rank])
        return Inquiry(command=command, options=options, text=text, asker=asker, at=self.at, reference="benchmark")

    async def measure(self, name, call, runs=RUNS, warm=WARM):
        """Time calls, and keep and print median and 95th percentile."""
        for _ in range(warm):
            await call()
        wall, processor = [], []
        for _ in range(runs):
            start, start_processor = perf_counter(), process_time()
            await call()
            processor.append(1e3 * (process_time() - start_processor))
            wall.append(1e3 * (perf_counter() - start))
        middle, slow = (float(one) for one in np.percentile(wall, [50, 95]))
        busy, most_busy = (float(one) for one in np.percentile(processor, [50, 95]))
        self.figures[name] = Figure(middle, slow, busy, most_busy)
        print(f"    {name:<56}{middle:10.2f}{slow:10.2f}   {busy:10.2f}{most_busy:10.2f}   {runs:5d}", flush=True)

    async def ask(self, service, *args, **more):
        """Ask, and refuse to time a refusal."""
        card = await service.handle(self.inquiry(*args, **more))
        assert card.sections or card.files or card.conclusion, "an empty answer"
        assert "not_here" not in card.title
        return card


async def measure_statistics(bench):
    """Time every view for a moderator, without and with its picture."""
    start = perf_counter()
    card = await bench.ask(bench.plain, "moderator", "stats causes")
    assert card.sections, card.conclusion
    print(f"    first question, which closes the periods of {MONTHS} months: {1e3 * (perf_counter() - start):.0f} ms")
    for name, (command, options) in VIEWS.items():
        await bench.measure(name, lambda c=command, o=options: bench.ask(bench.plain, "moderator", c, **o))
    for name in ("stats causes", "stats remedies", "stats trend", "stats readings", "stats quality"):
        await bench.measure(f"{name}, with its picture", lambda c=name: bench.ask(bench.house.service, "moderator", c))


async def measure_cases(bench):
    """Time what a helper does with cases, and what recording one costs."""
    store, dice = bench.house.store, bench.dice
    numbers = [one.number for one in await store.queue(CLUB)]
    newest = max(numbers)

    async def open_case():
        case = await store.case(CLUB, dice.randint(1, newest))
        assert case is not None
        await store.history(case)
        await store.notes(case)
        await store.held("opinions", case)
        await store.held("confirmations", case)

    await bench.measure("open a case: all that is stored of it", open_case, runs=200)
    show = partial_number(bench, "case show", lambda: dice.randint(1, newest))
    await bench.measure("/case show, judged anew and laid out", show, runs=100)
    await bench.measure(f"/case queue, {OPEN} open", lambda: bench.ask(bench.plain, "helper", "case queue"))
    some = await store.case(CLUB, newest - 1)
    people = iter(range(10**6))

    async def record():
        key = CaseKey(CLUB, "c-new", pseudonym(bench.secret, CLUB, f"new-{next(people)}"))
        await store.record(key, some.latest.report, some.latest.verdict, bench.at, after=None)

    await bench.measure("record a new judgement", record)
    waiting = iter(numbers)
    settle = partial_number(bench, "case outcome", lambda: next(waiting), result="not_fixed")
    await bench.measure("/case outcome: closed and counted", settle)
    confirm = partial_number(bench, "case confirm", lambda: dice.randint(1, newest), cause="tilt")
    await bench.measure("/case confirm: counted anew", confirm)


def partial_number(bench, command, number, **options):
    """Return a helper's question about the case of the next number."""
    return lambda: bench.ask(bench.plain, "helper", command, case=str(number()), **options)


async def measure_upkeep(bench):
    """Time what is done for one person, and what is done every hour."""
    store, service = bench.house.store, bench.plain
    for rank, who in (("member", "member-1"), ("helper", "helper-1")):
        held = await store.person([(CLUB, pseudonym(bench.secret, CLUB, who))])
        kept = f"{len(held.cases)} cases, {len(held.opinions)} opinions"
        print(f"    the {rank} has {kept}")
        show = lambda r=rank, w=who: bench.ask(service, r, "my-data show", person=w)  # noqa: E731 - both names are this turn's
        await bench.measure(f"/my-data show of a {rank}", show)
    await bench.measure("communities, as every hour", store.communities)
    rules = {one: Community(reminders=True) for one in (CLUB,)}
    await bench.measure("silent cases, as every hour", lambda: store.silent(rules, NOW - timedelta(days=3)), 5, 1)
    await bench.measure("tidy with nothing to do", lambda: store.tidy(NOW))
    await bench.measure("every lesson, as learning reads them", store.lessons, 2, 0)
    members = iter(range(2, 10**6))
    await bench.measure(
        "erase one person, the file cleaned",
        lambda: store.erase([(CLUB, pseudonym(bench.secret, CLUB, f"member-{next(members)}"))]),
        *((5, 1) if bench.size < FULL else (1, 0)),
    )


async def count_naively(bench):
    """Time counting from the cases: causes alone in SQL, every table in Python; return the SQL's and Python's ms."""

    def in_sql(db):
        return db.execute(
            "SELECT cause, count(*) FROM cases WHERE community = ? AND state = 'closed' GROUP BY cause", [CLUB]
        ).fetchall()

    def in_python(db):
        counts = Counter()
        for case in db.query("SELECT * FROM cases WHERE community = ? AND state = 'closed'", [CLUB]):
            told = lessons.read_judgements(db, case["id"])
            counts.update((one.table, one.row, one.column) for one in tallies.share_of_case(case, told, ()))
        return counts

    await bench.measure(
        "naive: confirmed causes alone, from the cases in SQL", lambda: bench.house.store._run(in_sql), 5, 1
    )
    if bench.size <= min(SIZES):
        await bench.measure(
            "naive: every table, from the judgements in Python", lambda: bench.house.store._run(in_python), 2, 0
        )


async def prove(path, label):
    """Recount everything, and refuse to go on if a share, a count or a lesson was wrong."""
    store = await Store.open(path)
    try:

        def kept(db):
            return [db.execute(f"SELECT * FROM {table} ORDER BY 1").fetchall() for table in ("shares", "lessons")]  # noqa: S608 - two names

        before = await store._run(kept)
        start = perf_counter()
        assert await store.recount(), "the counts were wrong"
        took = perf_counter() - start
        assert await store._run(kept) == before, "a share or a lesson was wrong"
    finally:
        await store.close()
    print(f"  {label}: equal to a recount of {len(before[0])} ended cases, which takes {took:.1f} s")


def make(path, size, secret):
    """Make a database in a process of its own, and return how long judging and writing took."""
    start = perf_counter()
    moulds = judge_moulds(MOULDS, SEED)
    judged = perf_counter() - start
    write_cases(path, size, secret, moulds, SEED)
    return judged, perf_counter() - start - judged


def memory_mb():
    """Return what the process holds of memory."""
    return int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1]) * os.sysconf("SC_PAGE_SIZE") / 1e6


async def run(folder, size):
    """Make and measure one database; return its figures."""
    path, secret = folder / f"{size}.db", load_secret(folder / "secret.key")
    await (await Store.open(path)).close()
    with ProcessPoolExecutor(1, get_context("spawn")) as pool:
        judged, written = await asyncio.wrap_future(pool.submit(make, path, size, secret))
    held = path.stat().st_size
    print(f"\n{size:,} cases: {judged:.0f} s to judge {MOULDS} reports, {written:.0f} s to write")
    print(f"  {held / 1e6:,.0f} MB, {held / size:,.0f} bytes a case")
    if size <= min(SIZES):
        await prove(path, "as written")
    async with compose(Settings(database=path, secret_file=folder / "secret.key")) as house:
        bench = Bench(house, path, size, secret)
        await house.store.keep_community(CLUB, Community(helpers="r-help", moderators="r-mod"))
        before = memory_mb()
        print(f"    {'ms':<56}{'median':>10}{'p95':>10}   {'processor':>10}{'p95':>10}   {'calls':>5}")
        for part in (measure_statistics, measure_cases, measure_upkeep, count_naively):
            await part(bench)
        print(f"    memory of the process: {before:.0f} MB before, {memory_mb():.0f} MB after")
    if size <= min(SIZES):
        await prove(path, "after all that was done to it")
    for left in folder.glob(f"{size}.db*"):
        left.unlink()
    return bench.figures | {"bytes a case": Figure(*([held / size] * 4))}


def print_growth(by_size):
    """Print how everything grows with the number of cases, and what holds."""
    sizes = sorted(by_size)
    first, last = by_size[sizes[0]], by_size[sizes[-1]]
    print("\nGrowth: processor time, median, ms, and how many times as much at the last size as at the first")
    print(f"{'':<56}" + "".join(f"{size:>12,}" for size in sizes) + f"{'growth':>10}")
    for name in (name for name in first if name in last):
        cells = [by_size[size][name].processor for size in sizes]
        print(f"{name:<56}" + "".join(f"{cell:12.2f}" for cell in cells) + f"{cells[-1] / cells[0]:10.2f}")
    for naive in (name for name in first if name.startswith("naive")):
        ratio = first[naive].processor / first["stats causes"].processor
        print(f"{naive}: {ratio:.1f} times /stats causes at {sizes[0]:,}")
    for what, most in ASKED_MS.items():
        for clock in ("p95", "processor_p95"):
            slow = {name: getattr(one, clock) for name, one in last.items() if name.startswith(what)}
            bad = {name: round(value, 1) for name, value in slow.items() if value >= most}
            said = f"does not hold: {json.dumps(bad)}" if bad else "holds"
            print(f"{what}, under {most:.0f} ms with {sizes[-1]:,} cases, {clock}: {said}")


def main():
    """Print all figures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("sizes", nargs="*", type=int, default=SIZES)
    parser.add_argument("--full", action="store_true")
    parser.add_argument("--folder", type=Path)
    asked = parser.parse_args()
    sizes = sorted({*asked.sizes, *((FULL,) if asked.full else ())})
    with tempfile.TemporaryDirectory(prefix="platewright-scale-", dir=asked.folder) as folder:
        print_growth({size: asyncio.run(run(Path(folder), size)) for size in sizes})


if __name__ == "__main__":
    main()
