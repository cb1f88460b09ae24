"""The command `report`: its page, what it refuses, and that a page is written whole or not at all."""

import re

import pytest
from helpers.garden import GARDEN_TEXT
from helpers.strict_json import strict

pytestmark = [pytest.mark.slow, pytest.mark.usefixtures("remembered")]  # whole pages of every command

CUSTOMER = ("--for", "customer")
OLD = '<!DOCTYPE html>\n<meta name="generator" content="detentsim">\nan older page\n'


@pytest.fixture
def garden(build_file):
    return build_file(GARDEN_TEXT)


@pytest.mark.usefixtures("afresh")
def test_a_page_is_written_the_same_twice(run, garden, tmp_path):
    page = tmp_path / "garden.html"
    status, out, err = run("report", garden, *CUSTOMER, "-o", page)
    assert (status, err) == (0, "")
    assert out.startswith("82 mm garden folder\nNot right as it is: ")
    assert out.endswith(f"Wrote {page}.\n")
    first = page.read_bytes()
    assert first.startswith(b"<!DOCTYPE html>")
    assert first.endswith(b"</html>\n")
    assert run("report", garden, *CUSTOMER, "-o", page)[0] == 0  # its own page is written over
    assert page.read_bytes() == first


def test_the_demo_says_so_on_the_page_too(run, tmp_path):
    page = tmp_path / "demo.html"
    status, out, _ = run("report", *CUSTOMER, "--units", "inch", "-o", page)
    assert status == 0
    assert out.startswith("No build file given: this is the packaged demo")
    text = page.read_text("utf-8").replace("\N{NO-BREAK SPACE}", " ")
    assert "This is the packaged demo" in text
    assert re.search(r"<dd><data [^>]*>[\d.]+ lbf", text)


def test_json_is_that_of_the_commands(run, garden):
    whole = strict(run("report", garden, *CUSTOMER, "--json")[1])
    for name in ("curve", "limits", "motion"):
        assert whole[name] == strict(run(name, garden, "--json")[1])
    assert whole["worn_in"] == strict(run("curve", garden, "--worn-in", "--json")[1])
    assert whole["batch"] is whole["advise"] is whole["layout"] is whole["fit"] is None
    assert {"name", "value", "source"} == set(whole["sources"][0])


def test_without_a_blade_or_a_target_it_says_what_is_not_told(run, build_file, tmp_path):
    page = tmp_path / "bare.html"
    parts = re.split(r"\n(?=\[)", GARDEN_TEXT)
    bare = "\n".join(part for part in parts if not part.startswith(("[blade]", "[pivot]", "[target]")))
    assert run("report", build_file(bare), "--count", "16", "-o", page)[0] == 0
    text = page.read_text("utf-8")
    assert "Not known: the build has no section [blade]" in text
    assert "Nothing is advised, for the build sets no target" in text
    assert "stays shut: not known" in text


def test_what_it_refuses(run, garden, tmp_path):
    foreign, page = tmp_path / "foreign.html", tmp_path / "page.html"
    foreign.write_text("<!DOCTYPE html><p>somebody's own")
    for words, told in (
        ((), "-o: is missing; name the page to write"),
        (("-o", "report.txt"), '-o: "report.txt" must end in .html'),
        (("-o", ""), "-o: "),
        (("-o", str(tmp_path / "none" / "page.html")), "-o: "),
        (("-o", str(foreign)), "is there already and no such command wrote it"),
        (("-o", str(page), "--count", "none"), "--count: "),
        (("-o", str(page), "--saw", "gritty"), '--saw: "gritty" names no yes-or-no result'),
        (("-o", str(page), "--reading", "breakout_force=heavy"), "breakout_force"),
    ):
        status, out, err = run("report", garden, *CUSTOMER, *words)
        assert (status, out, err.count("\n")) == (2, "", 1), words
        assert told in err
    assert not page.exists()
    status, _, err = run("report", "--reading", "breakout_force=9 N", "-o", page)
    assert status == 2
    assert "readings need a build file of your own" in err
    assert run("report", garden, "--for", "nobody", "-o", page)[0] == 2


@pytest.mark.parametrize("stop", [KeyboardInterrupt, OSError("disk full")])
def test_a_page_that_is_stopped_leaves_the_old_one(run, garden, tmp_path, monkeypatch, stop):
    page = tmp_path / "page.html"
    page.write_text(OLD)

    def stopped(*_):
        raise stop

    where = "detentsim.show.in_hand.report.page.motion_part" if stop is KeyboardInterrupt else "os.replace"
    monkeypatch.setattr(where, stopped)
    status, out, _ = run("report", garden, *CUSTOMER, "-o", page)
    assert (status, out) == (130 if stop is KeyboardInterrupt else 2, "")
    assert page.read_text() == OLD
    assert [file.name for file in tmp_path.iterdir() if file.suffix == ".html"] == ["page.html"]


def test_a_batch_stopped_half_way_writes_no_page(run, garden, tmp_path, monkeypatch):
    from detentsim.analysis.many_builds.sweep import solving

    page, solve = tmp_path / "page.html", solving.solve

    def once(*args, **kwargs):
        monkeypatch.setattr(solving, "solve", interrupted)
        return solve(*args, **kwargs)

    def interrupted(*_, **__):
        raise KeyboardInterrupt

    monkeypatch.setattr("detentsim.analysis.in_hand.report.report._advice", lambda *_: None)
    monkeypatch.setattr(solving, "solve", once)
    assert run("report", garden, "--count", "64", "-o", page)[0] == 130
    assert not page.exists()
