"""Who may speak to the desk: this machine's browser at its own address, and nobody else; no way out of the folder."""

from __future__ import annotations

import socket
from collections.abc import Iterator
from pathlib import Path

import pytest
from support.desks import PASSPHRASE, RunningDesk, Visitor, open_desk
from support.program import run_program

from fillcards.desk.drafts import number_of

STARTER = Path(__file__).parents[2] / "templates_yaml" / "two-insulins-twice-a-day.yaml"


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[RunningDesk]:
    """One desk for all attacks, with a file in its folder and one beside it."""
    folder = tmp_path_factory.mktemp("outer") / "folder"
    folder.mkdir()
    (folder / "card.yaml").write_text(STARTER.read_text(encoding="utf-8"), encoding="utf-8")
    (folder.parent / "secret.yaml").write_text("patient: {name: Somebody Else}\n", encoding="utf-8")
    (folder / "link.yaml").symlink_to(folder.parent / "secret.yaml")
    with open_desk(folder) as running:
        yield running


@pytest.fixture(scope="module")
def writer(desk: RunningDesk) -> Visitor:
    """Somebody who is signed on."""
    visitor = Visitor(desk)
    visitor.sign_on("Writer Anna")
    return visitor


def test_it_listens_on_this_machine_alone(desk: RunningDesk) -> None:
    """Another address of this machine, as the network sees it, is not answered."""
    with socket.socket() as probe:
        probe.settimeout(2)
        assert probe.connect_ex(("127.0.0.1", desk.port)) == 0
    with socket.socket() as probe:
        probe.settimeout(2)
        assert probe.connect_ex(("127.0.0.2", desk.port)) != 0


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({"Host": "evil.example"}, 421),
        ({"Host": "127.0.0.1"}, 421),
        ({"Origin": "http://evil.example"}, 403),
        ({"Origin": "null"}, 403),
        ({"Origin": None}, 403),
        ({"Sec_Fetch_Site": "cross-site"}, 403),
        ({"Cookie": None}, 403),
        ({"Cookie": "fillcards=" + "0" * 48}, 403),
        ({"Content_Length": "1000001"}, 413),
        ({"Content_Length": "many"}, 400),
    ],
)
def test_a_forged_request_changes_nothing(writer: Visitor, headers: dict[str, str | None], status: int) -> None:
    """A foreign host, another page's origin, no origin, no cookie, a wrong one, a body too large."""
    before = sorted(writer.desk.folder.iterdir())
    assert writer.send("POST", f"{writer.base}/new", b"", **headers).status == status
    assert sorted(writer.desk.folder.iterdir()) == before


def test_a_wrong_token_opens_nothing(writer: Visitor) -> None:
    """The address of another start; and reading a page without the cookie."""
    assert writer.send("GET", "/open/" + "0" * 48, Cookie=None).status == 403
    assert writer.send("GET", "/", Cookie=None).status == 403
    assert writer.send("GET", "/static/desk.js", Cookie=None).status == 403


def test_the_cookie_is_out_of_reach(desk: RunningDesk) -> None:
    """Scripts cannot read it, and no other site's request carries it."""
    cookie = Visitor(desk).send("GET", f"/open/{desk.token}", Cookie=None).headers["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=strict" in cookie


def test_no_script_stands_in_a_page(writer: Visitor) -> None:
    """The policy forbids it, and no page has one, nor a style of its own, nor an address elsewhere."""
    answer = writer.get("/")
    policy = answer.headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    for path in ("/", "/check", "/given", "/people", f"/write/{number_of('card.yaml')}"):
        text = writer.get(path).text
        assert text.count("<script") == text.count('<script src="/static/desk.js" defer></script>') == 1
        assert " style=" not in text
        assert " onclick=" not in text
        assert text.replace("http://www.w3.org/", "").count("http") == 0


@pytest.mark.parametrize("name", ["../secret.yaml", "link.yaml", "/etc/passwd", "card.yaml/../../secret.yaml"])
def test_no_file_outside_the_folder_is_read(writer: Visitor, name: str) -> None:
    """Neither by a path, nor by the number of one, nor through a link."""
    for path in (number_of(name), name.replace("/", "%2F")):
        assert "Somebody Else" not in writer.get(f"/write/{path}").text


def test_what_is_not_signed_on_sees_no_file(desk: RunningDesk) -> None:
    """A window that nobody signed on in, and one that never was."""
    stranger = Visitor(desk)
    for base in ("/w/0", "/w/" + "0" * 18):
        answer = stranger.send("GET", f"{base}/write/{number_of('card.yaml')}")
        assert (answer.status, answer.headers["location"]) == (303, "/")


def test_a_wrong_passphrase_is_slowed_down(writer: Visitor) -> None:
    """After five wrong ones the right one has to wait as well; the window that is open goes on."""
    stranger = Visitor(writer.desk)
    for _ in range(5):
        assert stranger.post("/", name="Writer Anna", passphrase="three wrong words").status == 403
    assert "wait a minute" in stranger.post("/", name="Writer Anna", passphrase=PASSPHRASE).text
    assert writer.get("/").status == 200


def test_people_have_names_that_differ(writer: Visitor) -> None:
    """A name like one that is here, nobody's name, a short passphrase: none is added."""
    for name, passphrase in (("W. Anna", PASSPHRASE), ("nobody", PASSPHRASE), ("Checker Ben", "short")):
        answer = writer.post("/people", name=name, passphrase=passphrase, again=passphrase, own=PASSPHRASE)
        assert answer.status == 403
    assert "Checker Ben" not in writer.get("/people").text


def test_a_second_desk_is_refused(desk: RunningDesk) -> None:
    """The folder has one already; the program says so and ends."""
    answer = run_program("desk", desk.folder, "--no-browser")
    assert answer.code == 3
    assert "open on this folder already" in answer.err


def test_a_folder_that_is_none_is_refused(tmp_path: Path) -> None:
    """Before anything is served."""
    assert run_program("desk", tmp_path / "nowhere", "--no-browser").code == 3
    (tmp_path / "file").write_text("")
    assert run_program("desk", tmp_path / "file", "--no-browser").code == 3


def test_patients_stay_out_of_addresses_and_titles(writer: Visitor) -> None:
    """Neither the page of a file nor the register's puts a name there."""
    text = writer.get(f"/write/{number_of('card.yaml')}").text
    assert "Sample Patient" in text
    title = text[text.index("<title>") : text.index("</title>")]
    assert "Sample" not in title
    assert "card.yaml" not in title
    assert 'method="post" role="search"' in writer.get("/given").text
