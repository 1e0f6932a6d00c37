"""What every jobs store promises. A second engine is held to it by one subclass that says how to open it."""

from __future__ import annotations

import subprocess
import sys
import threading
from abc import ABC, abstractmethod
from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from msgspec.structs import replace
from tests.store.pushes import BRONZE, BRONZE_AGAIN, driven, push, sizing_plan
from tests.store.small import Job, at, notes, reading, small_plan

from headwright.errors import Outdated, RecordBroken, UsageError
from headwright.job.chain import chained, first_misfit
from headwright.job.events import Noted, ReadingStruck, ReadingTaken, StepTicked
from headwright.procedure.plan import Role, plan_bytes
from headwright.store.pins import PinRefused

if TYPE_CHECKING:
    from collections.abc import Iterator

    from headwright.store import JobStore

WORKER = Path(__file__).with_name("worker.py")


def start_worker(what: str, locator: str) -> subprocess.Popen[str]:
    """Start another process at the same store."""
    return subprocess.Popen(
        [sys.executable, str(WORKER), what, locator],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        cwd=WORKER.parents[2],
    )


def told(worker: subprocess.Popen[str]) -> str:
    """Give the next line that a worker says, blanks off."""
    assert worker.stdout is not None
    return worker.stdout.readline().strip()


def tell(worker: subprocess.Popen[str]) -> None:
    """Let a worker go on."""
    assert worker.stdin is not None
    worker.stdin.write("go\n")
    worker.stdin.flush()


class JobStoreContract(ABC):
    """The promises; `open_again` opens the same store once more, as another terminal would."""

    @abstractmethod
    def open_again(self, locator: str) -> JobStore:
        """Open the store that the locator names."""

    @pytest.fixture
    def locator(self, tmp_path: Path) -> str:
        """Name an empty store of this test's own, in a form that another process can be given."""
        return str(tmp_path / "headwright.db")

    @pytest.fixture
    def opened(self) -> Iterator[ExitStack]:
        with ExitStack() as stack:
            yield stack

    @pytest.fixture
    def store(self, locator: str, opened: ExitStack) -> JobStore:
        return self.another(locator, opened)

    def another(self, locator: str, opened: ExitStack) -> JobStore:
        """Open the store as one more terminal, to be closed after the test."""
        store = self.open_again(locator)
        opened.callback(store.close)
        return store

    def test_a_new_store_has_no_jobs(self, store: JobStore) -> None:
        assert store.jobs() == ()
        assert store.last("1001") is None

    def test_a_job_comes_back_just_as_it_was_kept(self, store: JobStore) -> None:
        job = Job().keep(store)
        assert store.plan_json("1001") == job.plan_json
        assert store.entries("1001") == job.entries
        assert store.jobs() == (job.summary,)

    def test_entries_come_back_just_as_they_were_appended(self, store: JobStore) -> None:
        job = Job().keep(store)
        odd = ReadingTaken("size", "1I", "bore", "1e22 \x00\n\"'°✓ 𝄞", value=1e22, station="top")
        job.keep_more(store, odd, reading(inches=8.0), Noted("\u2028 \x7f"))
        assert store.entries("1001") == job.entries

    def test_only_the_entries_after_a_number_can_be_asked_for(self, store: JobStore) -> None:
        job = Job().keep(store)
        job.keep_more(store, *notes("abc"))
        assert store.entries("1001", after=3) == job.entries[3:]
        assert store.entries("1001", after=5) == ()

    def test_the_last_entry_is_told_in_short(self, store: JobStore) -> None:
        job = Job().keep(store)
        job.keep_more(store, *notes("ab"))
        assert store.last("1001") == (4, job.entries[-1].hash)

    def test_what_was_kept_is_there_after_closing_and_opening(self, locator: str, opened: ExitStack) -> None:
        store = self.open_again(locator)
        job = Job().keep(store)
        job.keep_more(store, reading())
        store.close()
        again = self.another(locator, opened)
        assert again.entries("1001") == job.entries
        assert again.jobs() == (job.summary,)

    def test_another_terminal_sees_an_entry_as_soon_as_it_is_kept(
        self, store: JobStore, locator: str, opened: ExitStack
    ) -> None:
        job = Job().keep(store)
        other = self.another(locator, opened)
        assert other.last("1001") == store.last("1001")
        new = job.keep_more(store, reading())
        assert other.entries("1001", after=2) == new
        assert other.jobs() == (job.summary,)

    def test_who_comes_second_is_outdated_and_writes_nothing(
        self, store: JobStore, locator: str, opened: ExitStack
    ) -> None:
        job = Job().keep(store)
        other = self.another(locator, opened)
        theirs = job.next(Noted("second"))
        job.keep_more(store, Noted("first"))
        with pytest.raises(Outdated) as caught:
            other.append("1001", theirs, replace(job.summary, tag="second"))
        assert caught.value.message == "someone else wrote to job '1001' first; nothing was written"
        assert store.entries("1001") == job.entries
        assert store.jobs() == (job.summary,)
        job.keep_more(other, Noted("third"))
        assert store.entries("1001") == job.entries

    def test_entries_that_leave_a_gap_are_outdated_and_not_written(self, store: JobStore) -> None:
        job = Job().keep(store)
        before = job.entries
        job.add(Noted("never kept"))
        with pytest.raises(Outdated):
            store.append("1001", job.next(Noted("after a gap")), job.summary)
        assert store.entries("1001") == before

    def test_entries_that_do_not_chain_are_not_written(self, store: JobStore) -> None:
        job = Job().keep(store)
        stranger = replace(job.entries[-1], hash="0" * 64)
        entries = chained("1001", stranger, notes("a"), time="", operator="07", terminal="")
        with pytest.raises(RecordBroken) as caught:
            store.append("1001", entries, job.summary)
        assert caught.value.number == 3
        assert store.entries("1001") == job.entries

    def test_of_entries_that_belong_together_all_are_kept_or_none(self, store: JobStore) -> None:
        job = Job().keep(store)
        first, second = job.next(Noted("a"), Noted("b"))
        with pytest.raises(RecordBroken) as caught:
            store.append("1001", (first, replace(second, operator="08")), job.summary)
        assert caught.value.number == 4
        assert store.entries("1001") == job.entries

    def test_a_job_number_is_taken_once(self, store: JobStore) -> None:
        job = Job().keep(store)
        with pytest.raises(UsageError) as caught:
            Job(plan=small_plan("another route")).keep(store)
        assert caught.value.message == "job '1001' exists already"
        assert store.entries("1001") == job.entries
        assert store.plan_json("1001") == job.plan_json
        assert store.jobs() == (job.summary,)

    def test_a_job_is_only_kept_with_the_plan_that_it_was_opened_under(self, store: JobStore) -> None:
        job = Job()
        with pytest.raises(RecordBroken):
            store.create(plan_bytes(small_plan("another route")), job.entries, job.summary)
        assert store.last("1001") is None

    def test_jobs_under_one_plan_share_it_and_others_keep_theirs(self, store: JobStore) -> None:
        first, second = Job("1001").keep(store), Job("1002").keep(store)
        third = Job("1003", small_plan("another route")).keep(store)
        assert store.plan_json("1001") == store.plan_json("1002") == first.plan_json == second.plan_json
        assert store.plan_json("1003") == third.plan_json

    @pytest.mark.parametrize("call", ["entries", "plan_json", "append"])
    def test_a_job_that_is_not_there_is_named_with_the_nearest(self, store: JobStore, call: str) -> None:
        Job("1001").keep(store)
        unknown = Job("1011")
        more = (unknown.next(Noted("a")), unknown.summary) if call == "append" else ()
        with pytest.raises(UsageError) as caught:
            getattr(store, call)("1011", *more)
        assert caught.value.message == f"there is no job '1011' in {store.where}"
        assert caught.value.hint == "Nearest: '1001'."

    def test_the_job_last_worked_on_stands_first(self, store: JobStore) -> None:
        jobs = [Job(name).keep(store) for name in ("1001", "1002", "1003")]
        jobs[1].keep_more(store, Noted("a"), seconds=100)
        jobs[0].keep_more(store, Noted("b"), seconds=200)
        assert [summary.job for summary in store.jobs()] == ["1001", "1002", "1003"]

    def test_the_summaries_can_be_worked_out_again_from_the_entries(self, store: JobStore) -> None:
        first, second = Job("1001").keep(store), Job("1002").keep(store)
        wrong = replace(first.summary, status="released", done=99)
        for _ in range(2):
            store.append("1001", first.add(reading(), StepTicked("size", "1I", "oil")), wrong)
        second.keep_more(store, ReadingTaken("size", "1I", "bore", ".344", value=8.0), seconds=1)
        assert wrong in store.jobs()
        steps: list[tuple[int, int]] = []
        assert store.rebuild(lambda done, of: steps.append((done, of))) == 2
        assert store.jobs() == (first.summary, second.summary)
        assert steps == [(1, 2), (2, 2)]

    def test_a_job_that_cannot_be_read_is_listed_as_broken_and_is_in_no_others_way(self, store: JobStore) -> None:
        job, other = Job("1001").keep(store), Job("1002").keep(store)
        store.append("1001", job.next(ReadingStruck(99, "no such entry")), job.summary)
        assert store.rebuild() == 2
        listed = {summary.job: summary for summary in store.jobs()}
        assert (listed["1001"].status, listed["1002"]) == ("broken", other.summary)
        assert listed["1001"].at.startswith("job '1001': event 3 speaks of 99")

    def test_the_pushes_of_all_jobs_are_found_by_what_was_alike(self, store: JobStore) -> None:
        bronze = Job("1001", sizing_plan()).keep(store)
        bronze.keep_more(store, *driven("1I"), *push("1I", finished=0.3434), *push("1I", finished=0.3437), seconds=10)
        iron = Job("1002", sizing_plan("iron")).keep(store)
        iron.keep_more(store, *driven("1I"), *push("1I"), seconds=20)
        other = Job("1003", sizing_plan()).keep(store)
        other.keep_more(store, *driven("2E"), *push("2E", finished=0.3435), seconds=30)
        other.keep_more(store, *driven("1E"), *push("1E", finished=0.3436), seconds=5)
        first, second = bronze.sizings
        newest, oldest = other.sizings
        assert (newest.position, oldest.position) == ("2E", "1E")
        assert store.past_sizings(BRONZE) == (newest, first, oldest)
        assert store.past_sizings(BRONZE_AGAIN) == (second,)
        assert store.past_sizings(iron.sizings[0].stratum) == iron.sizings
        assert store.past_sizings(replace(BRONZE, head="aluminium")) == ()

    def test_only_so_many_pushes_and_none_older_than_asked_for_are_given(self, store: JobStore) -> None:
        job = Job(plan=sizing_plan()).keep(store)
        for seconds, place in ((10, "1I"), (20, "2I"), (30, "1E"), (30, "2E")):
            job.keep_more(store, *driven(place), *push(place), seconds=seconds)
        assert [sized.position for sized in store.past_sizings(BRONZE)] == ["2E", "1E", "2I", "1I"]
        assert [sized.position for sized in store.past_sizings(BRONZE, limit=3)] == ["2E", "1E", "2I"]
        assert [sized.position for sized in store.past_sizings(BRONZE, since=at(20))] == ["2E", "1E", "2I"]
        assert [sized.position for sized in store.past_sizings(BRONZE, limit=1, since=at(20))] == ["2E"]

    def test_a_struck_reading_takes_its_push_out_again(self, store: JobStore) -> None:
        job = Job(plan=sizing_plan()).keep(store)
        job.keep_more(store, *driven("1I"), *push("1I"), *driven("2I"), *push("2I"))
        assert [sized.position for sized in store.past_sizings(BRONZE)] == ["2I", "1I"]
        ball = next(e.number for e in job.entries if isinstance(e.event, ReadingTaken) and e.event.reading == "ball")
        job.keep_more(store, ReadingStruck(ball, "wrong tray"))
        assert [sized.position for sized in store.past_sizings(BRONZE)] == ["2I"]
        job.keep_more(store, ReadingTaken("size", "1I", "ball", ".3442", "in", 0.3442 * 25.4))
        assert [sized.ball for sized in store.past_sizings(BRONZE)] == [0.344 * 25.4, 0.3442 * 25.4]

    def test_pushes_stay_where_entries_say_nothing_of_them(self, store: JobStore) -> None:
        job = Job(plan=sizing_plan()).keep(store)
        job.keep_more(store, *driven("1I"), *push("1I"))
        store.append("1001", job.add(Noted("all quiet")), job.summary)
        assert store.past_sizings(BRONZE) == job.sizings != ()

    def test_pushes_are_written_with_their_entries_or_not_at_all(
        self, store: JobStore, locator: str, opened: ExitStack
    ) -> None:
        job = Job(plan=sizing_plan()).keep(store)
        job.keep_more(store, *driven("1I"), *push("1I"))
        before = store.past_sizings(BRONZE)
        theirs = job.next(ReadingStruck(job.entries[-2].number, "late"))
        job.keep_more(store, Noted("first"))
        with pytest.raises(Outdated):
            self.another(locator, opened).append("1001", theirs, job.summary, ())
        broken = (replace(job.next(Noted("a"))[0], hash="0" * 64),)
        with pytest.raises(RecordBroken):
            store.append("1001", broken, job.summary, ())
        assert store.past_sizings(BRONZE) == before == job.sizings

    def test_the_pushes_can_be_worked_out_again_from_the_entries(self, store: JobStore) -> None:
        job = Job(plan=sizing_plan()).keep(store)
        job.keep_more(store, *driven("1I"), *push("1I"), *push("1I", finished=0.3437), *driven("2I"), *push("2I"))
        other = Job("1002", sizing_plan())
        other.add(*driven("1E"), *push("1E"))
        store.create(other.plan_json, other.entries, other.summary)
        wrong = replace(job.sizings[0], number=1, ball=9.0)
        store.append("1001", job.add(Noted("a")), job.summary, (wrong,))
        assert store.past_sizings(BRONZE) == (wrong,)
        store.rebuild()
        first, again, second = job.sizings
        assert store.past_sizings(BRONZE) == (*other.sizings, second, first)
        assert store.past_sizings(BRONZE_AGAIN) == (again,)

    def test_the_people_of_the_shop_are_the_same_at_every_terminal(
        self, store: JobStore, locator: str, opened: ExitStack
    ) -> None:
        assert store.people.all() == ()
        assert store.people.changes() == ()
        other = self.another(locator, opened)
        lena = store.people.add("02", "Lena Ost", Role.LEAD, now=at(0), pin="4711")
        mara = other.people.add("07", "Mara Quill", Role.MACHINIST, now=at(1))
        assert store.people.all() == other.people.all() == (lena, mara)
        with pytest.raises(PinRefused):
            other.people.check("02", "4712", at(2))
        assert [each.misses for each in store.people.all()] == [1, 0]
        store.people.check("02", "4711", at(2))
        assert other.people.all() == (lena, mara)
        assert [change.initials for change in other.people.changes()] == ["02", "07"]

    def test_the_people_of_the_shop_do_not_follow_from_the_jobs(self, store: JobStore) -> None:
        store.people.add("02", "Lena Ost", Role.LEAD, now=at(0), pin="4711")
        Job().keep(store)
        before = store.people.all(), store.people.changes()
        store.rebuild()
        assert (store.people.all(), store.people.changes()) == before

    def test_a_store_opened_in_one_thread_works_in_others(self, store: JobStore) -> None:
        jobs = [Job(str(1001 + n)).keep(store) for n in range(4)]

        def work(job: Job) -> None:
            for _ in range(20):
                job.keep_more(store, Noted("from a thread"))

        threads = [threading.Thread(target=work, args=(job,)) for job in jobs]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert all(store.entries(job.job) == job.entries for job in jobs)
        assert all(len(job.entries) == 22 for job in jobs)

    def test_of_two_processes_that_write_at_once_one_wins_and_the_other_is_told(
        self, store: JobStore, locator: str
    ) -> None:
        Job().keep(store)
        workers = [start_worker("rounds", locator) for _ in range(2)]
        rounds = 30
        for worker in workers:
            assert told(worker) == "ready"
        for number in range(3, 3 + rounds):
            for worker in workers:
                tell(worker)
            answers = sorted(told(worker) for worker in workers)
            assert [told(worker) for worker in workers] == ["ready", "ready"]
            # Whoever comes second still knows the job as it was before: it looks again only once it has lost.
            assert answers == [f"kept {number}", "outdated"]
        for worker in workers:
            worker.communicate()
            assert worker.returncode == 0
        entries = store.entries("1001")
        assert [entry.number for entry in entries] == list(range(1, 3 + rounds))
        assert first_misfit("1001", entries) is None

    def test_a_process_killed_while_it_writes_loses_nothing_that_it_said_was_kept(
        self, store: JobStore, locator: str
    ) -> None:
        job = Job().keep(store)
        for kill_after in (1, 17, 40, 73):
            worker = start_worker("many", locator)
            kept = [told(worker) for _ in range(kill_after)]
            worker.kill()
            rest, _ = worker.communicate()
            kept += [line for line in rest.splitlines(keepends=True) if line.endswith("\n")]
            entries = store.entries("1001")
            hashes = {entry.number: entry.hash for entry in entries}
            for line in kept:
                number, digest = line.split()
                assert hashes[int(number)] == digest
            said = int(kept[-1].split()[0])
            assert said <= entries[-1].number <= said + 1
            assert first_misfit("1001", entries) is None
            assert entries[:2] == job.entries
            assert store.jobs()[0].number == entries[-1].number
