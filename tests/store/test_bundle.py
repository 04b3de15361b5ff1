"""Bundles: the same bytes there and back, more is taken in, a fork and anything changed is refused."""

from __future__ import annotations

import io
import json
import zipfile
from typing import TYPE_CHECKING

import pytest

from brasswright.errors import AlreadyExists, BrasswrightError, EntryRefused, ForkRefused, NotFound, StoreRefused
from brasswright.journal.entries import Disturbed, Issued, Released, Remarked, Unknown, Withdrew
from brasswright.store import WORKSHOP_JOURNAL, Store, adopt, check, create, foreign
from brasswright.store.bundle import export, import_
from tests.builders import JOB, NOON, OTHER_JOB, arrived, draft, numbered, photographed, picture, setting
from tests.store.conftest import next_day

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from brasswright.journal.entries import Body


@pytest.fixture
def full(busy: Store) -> Store:
    """A job with a photograph, a paper, a release, a paper that was not kept and an entry of an unknown kind."""
    kept = busy.put_photograph(picture())
    paper = busy.put_paper(b"%PDF an estimate")
    issued = Issued(paper="estimate", sha256=paper, head="x", seed=1, version="0", figures={})
    unsent = Issued(paper="draft", sha256="f" * 64, head="x", seed=1, version="0", figures={})
    strange = Unknown(kind="polished/1", raw={"kind": "polished/1", "with": "chalk\u2028"})
    bodies: list[Body | Unknown] = [photographed(kept.sha256), issued, unsent, Released(hold="isolated"), strange]
    busy.append(JOB, [draft(body, number) for number, body in enumerate(bodies, 3)])
    return busy


@pytest.fixture
def abroad(tmp_path: Path) -> Iterator[Store]:
    """Another workshop."""
    with create(tmp_path / "abroad", clock=next_day) as made:
        yield made


@pytest.fixture
def packed(full: Store, tmp_path: Path) -> Path:
    export(full, JOB, tmp_path / "job.zip")
    return tmp_path / "job.zip"


def everything(store: Store) -> set[str]:
    files = {str(path.relative_to(store.folder)) for path in store.folder.rglob("*") if path.is_file()}
    return {name for name in files if "workshop" not in name} | {str(row) for row in store.jobs()}


def test_there_and_back_gives_the_same_bytes(full: Store, abroad: Store, packed: Path, tmp_path: Path) -> None:
    done = import_(abroad, packed)
    assert (done.job, done.entries, done.files) == (JOB, 7, 3)
    assert abroad.read(JOB) == full.read(JOB)
    export(abroad, JOB, tmp_path / "back.zip")
    assert (tmp_path / "back.zip").read_bytes() == packed.read_bytes()
    assert check(abroad.folder) == ()


def test_two_exports_of_one_job_are_equal(full: Store, packed: Path, tmp_path: Path) -> None:
    export(full, JOB, tmp_path / "again.zip")
    assert (tmp_path / "again.zip").read_bytes() == packed.read_bytes()


def test_the_lines_inside_are_the_stored_texts(full: Store, packed: Path) -> None:
    with zipfile.ZipFile(packed) as opened:
        lines = opened.read("entries.jsonl").decode().split("\n")
        told = json.loads(opened.read("bundle.json"))
    assert lines[-1] == ""
    assert [json.loads(line)["seq"] for line in lines[:-1]] == list(range(1, 8))
    assert told["head"] == full.read(JOB)[-1].digest


def test_a_job_that_is_here_already_changes_nothing(full: Store, packed: Path) -> None:
    before = everything(full)
    assert import_(full, packed).entries == 0
    assert everything(full) == before
    assert foreign(full, JOB).releases == ()


def test_an_older_bundle_changes_nothing(full: Store, packed: Path) -> None:
    full.append(JOB, [draft(Remarked(words="later"), 20)])
    assert import_(full, packed).entries == 0
    assert len(full.read(JOB)) == 8


def test_an_extension_extends(full: Store, abroad: Store, packed: Path, tmp_path: Path) -> None:
    import_(abroad, packed)
    kept = abroad.put_photograph(picture("teal"))
    abroad.append(JOB, [draft(photographed(kept.sha256), 30, by="Kari")])
    export(abroad, JOB, tmp_path / "longer.zip")
    done = import_(full, tmp_path / "longer.zip")
    assert (done.entries, done.files, done.people) == (1, 1, ("Kari",))
    assert full.read(JOB) == abroad.read(JOB)
    assert full.photograph(kept.sha256) == abroad.photograph(kept.sha256)
    assert check(full.folder) == ()


def test_a_fork_is_refused_naming_where_it_parted(full: Store, abroad: Store, packed: Path, tmp_path: Path) -> None:
    import_(abroad, packed)
    abroad.append(JOB, [draft(Remarked(words="there"), 30)])
    full.append(JOB, [draft(Remarked(words="here"), 31)])
    export(abroad, JOB, tmp_path / "fork.zip")
    before = everything(full)
    with pytest.raises(ForkRefused, match=rf"entry 8 \({numbered(30)}\)"):
        import_(full, tmp_path / "fork.zip")
    assert everything(full) == before


def test_foreign_releases_do_not_count_until_somebody_adopts_them(abroad: Store, packed: Path) -> None:
    abroad.append(WORKSHOP_JOURNAL, [draft(setting("person.kari", "Kari Holm"), 40)])
    done = import_(abroad, packed)
    assert (done.people, done.releases) == (("Ines",), (numbered(6),))
    assert foreign(abroad, JOB).people == ("Ines",)
    assert abroad.job(JOB).released == {}
    with pytest.raises(EntryRefused, match="named person"):
        adopt(abroad, JOB, by="Ines")
    with pytest.raises(EntryRefused, match="named person"):
        adopt(abroad, JOB, by="")
    assert adopt(abroad, JOB, by="kari").releases == (numbered(6),)
    assert set(abroad.job(JOB).released) == {"isolated"}
    assert foreign(abroad, JOB).last == 0
    adopted = abroad.read(WORKSHOP_JOURNAL)[-1]
    assert (adopted.by, adopted.at) == ("kari", next_day())
    adopt(abroad, JOB, by="kari")
    assert abroad.read(WORKSHOP_JOURNAL)[-1] == adopted


def test_own_releases_count_beside_foreign_ones(abroad: Store, packed: Path) -> None:
    import_(abroad, packed)
    abroad.append(JOB, [draft(Released(hold="cold_vented"), 50, by="kari")])
    assert set(abroad.job(JOB).released) == {"cold_vented"}


def test_a_foreign_striking_heals_no_hold_until_somebody_adopts_it(full: Store, abroad: Store, tmp_path: Path) -> None:
    tried = Disturbed(acts=("power",), words="tried at the socket")
    full.append(JOB, [draft(Released(hold="isolated"), 60), draft(tried, 61)])
    export(full, JOB, tmp_path / "lent.zip")
    import_(abroad, tmp_path / "lent.zip")
    struck = [Withdrew(entry=numbered(61), reason="it was nothing"), Withdrew(entry=numbered(60), reason="not so")]
    abroad.append(JOB, [draft(body, 62 + number, by="Kari") for number, body in enumerate(struck)])
    export(abroad, JOB, tmp_path / "back.zip")
    import_(full, tmp_path / "back.zip")
    assert foreign(full, JOB).strikes == (numbered(62),)
    assert [deed.words for deed in full.job(JOB).deeds] == ["tried at the socket"]
    assert full.job(JOB).released["isolated"].id == numbered(6)  # striking a release is on the safe side: it counts
    adopt(full, JOB, by="Ines")
    assert full.job(JOB).deeds == ()


def test_what_an_extension_brings_is_foreign_again(full: Store, abroad: Store, packed: Path, tmp_path: Path) -> None:
    import_(abroad, packed)
    adopt(abroad, JOB, by="kari")
    full.append(JOB, [draft(Released(hold="cold_vented"), 50)])
    export(full, JOB, tmp_path / "longer.zip")
    import_(abroad, tmp_path / "longer.zip")
    assert set(abroad.job(JOB).released) == {"isolated"}
    adopt(abroad, JOB, by="kari")
    assert set(abroad.job(JOB).released) == {"isolated", "cold_vented"}


def test_what_cannot_be_exported(full: Store, packed: Path, tmp_path: Path) -> None:
    with pytest.raises(AlreadyExists, match="a file of that name"):
        export(full, JOB, packed)
    with pytest.raises(NotFound, match="no such job"):
        export(full, OTHER_JOB, tmp_path / "other.zip")
    with pytest.raises(StoreRefused, match="does not travel"):
        export(full, WORKSHOP_JOURNAL, tmp_path / "own.zip")
    with pytest.raises(StoreRefused, match="Writing the bundle failed"):
        export(full, JOB, tmp_path / "no such folder" / "job.zip")
    photograph = next(iter(full.photographs.all()))
    full.photographs.remove(photograph)
    with pytest.raises(NotFound, match="no such photograph"):
        export(full, JOB, tmp_path / "lost.zip")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["bench", "job.zip"]


Members = dict[str, bytes]


def packed_again(members: Members, path: Path, how: int = zipfile.ZIP_STORED) -> None:
    with zipfile.ZipFile(path, "w", how) as target:
        for name, raw in members.items():
            target.writestr(name, raw)


def first(members: Members, folder: str) -> str:
    return next(name for name in members if name.startswith(folder))


def change_photograph(members: Members) -> None:
    members[first(members, "photographs")] = picture("teal")


def change_entry(members: Members) -> None:
    members["entries.jsonl"] = members["entries.jsonl"].replace(b'"answer":"sound"', b'"answer":"wound"')


def forge_the_last_entry(members: Members) -> None:
    members["entries.jsonl"] = members["entries.jsonl"].replace(b"chalk", b"waxes")


def cut_a_line(members: Members) -> None:
    members["entries.jsonl"] = b"\n".join(members["entries.jsonl"].split(b"\n")[:-2]) + b"\n"


def cut_half_a_line(members: Members) -> None:
    members["entries.jsonl"] = members["entries.jsonl"][:-40]


def lose_a_sheet(members: Members) -> None:
    del members[first(members, "sheets")]


def another_job(members: Members) -> None:
    members["bundle.json"] = members["bundle.json"].replace(str(JOB).encode(), str(OTHER_JOB).encode())


def workshop_journal(members: Members) -> None:
    members["bundle.json"] = members["bundle.json"].replace(str(JOB).encode(), str(WORKSHOP_JOURNAL).encode())


def newer(members: Members) -> None:
    members["bundle.json"] = members["bundle.json"].replace(b'"format": 1', b'"format": 2')


def no_list(members: Members) -> None:
    members["bundle.json"] = b"[]"


def upwards(members: Members) -> None:
    members["photographs/../../../away"] = b"x"


def absolute(members: Members) -> None:
    members["/etc/away"] = b"x"


def nobody_names_it(members: Members) -> None:
    members[f"photographs/{'e' * 64}"] = picture("teal")


def no_text(members: Members) -> None:
    members["entries.jsonl"] = b"\xff\xfe\n"


def no_entries(members: Members) -> None:
    members["entries.jsonl"] = b"\n"


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        (change_photograph, "A photograph in this bundle was changed"),
        (change_entry, "journal in this bundle was changed"),
        (forge_the_last_entry, "journal in this bundle was changed"),
        (cut_a_line, "does not hold one whole job"),
        (cut_half_a_line, "is cut off"),
        (lose_a_sheet, "lacks a file"),
        (another_job, "journal in this bundle was changed"),
        (workshop_journal, "does not hold one whole job"),
        (newer, "newer version.*format 2.*up to format 1"),
        (no_list, "does not say what it holds"),
        (upwards, "no whole bundle"),
        (absolute, "no whole bundle"),
        (nobody_names_it, "a file nobody names"),
        (no_text, "is no text"),
        (no_entries, "cannot be read"),
    ],
)
def test_a_spoilt_bundle_is_refused_with_nothing_stored(
    abroad: Store, packed: Path, spoil: Callable[[Members], None], words: str
) -> None:
    with zipfile.ZipFile(packed) as opened:
        members = {each.filename: opened.read(each) for each in opened.infolist()}
    spoil(members)
    packed_again(members, packed)
    refused(abroad, packed, words)


def refused(store: Store, path: Path, words: str) -> None:
    before = everything(store)
    with pytest.raises(StoreRefused, match=words):
        import_(store, path)
    assert everything(store) == before


def test_a_bundle_cut_off_anywhere_is_refused(abroad: Store, packed: Path) -> None:
    whole = packed.read_bytes()
    for length in range(0, len(whole), max(1, len(whole) // 40)):
        packed.write_bytes(whole[:length])
        refused(abroad, packed, "no whole bundle")


def test_a_bundle_with_one_changed_byte_is_refused_or_the_same(abroad: Store, packed: Path) -> None:
    whole = packed.read_bytes()
    before = everything(abroad)
    taken = 0
    for place in range(0, len(whole), 97):
        packed.write_bytes(whole[:place] + bytes([whole[place] ^ 0x10]) + whole[place + 1 :])
        try:
            import_(abroad, packed)
        except BrasswrightError:
            assert everything(abroad) == before
        else:
            taken += 1
            assert check(abroad.folder) == ()
            before = everything(abroad)
    assert taken < 20


def test_a_zip_bomb_is_refused_before_it_is_unpacked(abroad: Store, packed: Path) -> None:
    with zipfile.ZipFile(packed) as opened:
        members = {each.filename: opened.read(each) for each in opened.infolist()}
    packed_again({**members, "entries.jsonl": bytes(200_000_000)}, packed, zipfile.ZIP_DEFLATED)
    assert packed.stat().st_size < 1_000_000
    refused(abroad, packed, "compressed or encrypted")


def test_a_zip_that_claims_more_than_it_is_is_refused(abroad: Store, packed: Path) -> None:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as target:
        target.writestr("bundle.json", b"{}")
        target.filelist[0].file_size = target.filelist[0].compress_size = 1 << 30
    packed.write_bytes(out.getvalue())
    refused(abroad, packed, "larger inside than outside")


@pytest.mark.filterwarnings("ignore:Duplicate name:UserWarning")
def test_a_name_that_comes_twice_is_refused(abroad: Store, packed: Path) -> None:
    with zipfile.ZipFile(packed, "a") as opened:
        opened.writestr("entries.jsonl", b"\n")
    refused(abroad, packed, "a file named 'entries.jsonl'")


def test_no_bundle_at_all(abroad: Store, tmp_path: Path) -> None:
    (tmp_path / "words.zip").write_bytes(b"words")
    refused(abroad, tmp_path / "words.zip", "no whole bundle")
    refused(abroad, tmp_path / "none.zip", "Reading the bundle failed")


def test_an_id_of_another_job_here_is_refused(abroad: Store, packed: Path) -> None:
    sheet = abroad.put_sheet(b"another sheet")
    taken = draft(arrived(number=9, sheet_sha256=sheet), 2, at=NOON)
    abroad.append(OTHER_JOB, [taken])
    refused(abroad, packed, "used by an entry of another job")


def test_a_number_of_another_job_here_is_no_hindrance(abroad: Store, packed: Path) -> None:
    sheet = abroad.put_sheet(b"another sheet")
    abroad.append(OTHER_JOB, [draft(arrived(number=1, sheet_sha256=sheet), 60)])
    import_(abroad, packed)
    assert [row.number for row in abroad.jobs()] == [1, 1]
    assert abroad.next_number() == 2
