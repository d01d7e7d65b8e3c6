"""A phone on the home network: let in by a code that works once, refused otherwise."""

from __future__ import annotations

import json
import re
import socket
import subprocess
import sys
from datetime import date, datetime, timedelta

import httpx
import pytest
import segno
from web_page import Page

from rimwise.app.devices import LASTS_DAYS, Devices
from rimwise.errors import InputError, NotFoundError
from rimwise.store.opening import open_store
from rimwise.web.sharing import COOKIE, Codes, Sharing, TooManyError
from tiny_season import contents

HOME = "192.168.7.20"
START = datetime(2026, 6, 1, 14, 30)


class Clock:
    """A clock that stands still until it is moved."""

    def __init__(self) -> None:
        self.now = START

    def __call__(self) -> datetime:
        return self.now


@pytest.fixture
def sharing(season) -> Sharing:
    return Sharing.of(season, HOME, 8765)


@pytest.fixture
def here(season, sharing) -> Page:
    return Page(season, sharing)


@pytest.fixture
def phone(here) -> Page:
    """Return what asks the same server from the home network."""
    return here.from_elsewhere(f"http://{HOME}:8765")


def paired(sharing: Sharing, phone: Page) -> dict[str, str]:
    """Return what a phone sends along once it is paired."""
    code, _ = sharing.codes.open_code() or (sharing.codes.new(), None)
    answer = phone.ask("POST", "/pair", data={"code": code, "name": "my phone"})
    assert answer.status_code == 303, answer.text
    return {"cookie": f"{COOKIE}={answer.cookies[COOKIE]}"}


@pytest.mark.parametrize(
    "path", ["/", "/discs", "/sheet", "/log", "/import", "/no-such-page", "/pairs", "/pair/x", "//"]
)
def test_what_is_not_paired_sees_nothing(phone, path):
    answer = phone.get(path)
    assert answer.status_code == 403
    assert "not paired" in answer.text
    assert "NH 27" not in answer.text
    assert "<nav" not in answer.text


def test_what_may_be_fetched_unpaired_leads_nowhere_else(phone):
    assert phone.get("/static/rimwise.css").status_code == 200
    for path in (
        "/static/%2e%2e/discs",
        "/static/%2e%2e%2f%2e%2e/server.py",
        "/static/%2fetc/passwd",
    ):
        answer = phone.get(path)
        assert answer.status_code == 404
        assert "NH 27" not in answer.text


@pytest.mark.parametrize("path", ["/log/delete", "/start/example", "/devices/revoke", "/import"])
def test_what_is_not_paired_changes_nothing(phone, season, path):
    before = contents(season)
    assert phone.ask("POST", path, data={"id": "t1"}).status_code == 403
    assert contents(season) == before


@pytest.mark.parametrize("cookie", ["", "x", "\xe9", f"{COOKIE}=", f"{COOKIE}=../x", "=;=;,"])
def test_a_made_up_cookie_lets_nobody_in(phone, sharing, cookie):
    paired(sharing, phone)
    answer = phone.get("/discs", headers={"cookie": cookie.encode("latin-1")})
    assert answer.status_code == 403


def test_a_paired_phone_sees_and_changes(phone, sharing):
    cookie = paired(sharing, phone)
    assert "NH 27" in phone.get("/discs", headers=cookie).text
    throw = {"disc": "nh27-gold", "text": "64m 5L"}
    assert phone.ask("POST", "/log/throw", data=throw, headers=cookie).status_code == 303


def test_the_cookie_is_for_this_server_only_and_no_script(phone, sharing):
    code, _ = sharing.codes.open_code()
    answer = phone.ask("POST", "/pair", data={"code": code.lower()})
    (said,) = answer.headers.get_list("set-cookie")
    for word in ("HttpOnly", "SameSite=strict", "Path=/", "Max-Age="):
        assert word in said
    assert "Domain" not in said


def test_looking_at_the_link_uses_nothing_up(phone, sharing):
    code, _ = sharing.codes.open_code()
    for _ in range(3):
        assert f'value="{code}"' in phone.get("/pair", params={"code": code}).text
    assert sharing.codes.open_code() is not None


def test_a_code_works_once(phone, sharing):
    code, _ = sharing.codes.open_code()
    assert phone.ask("POST", "/pair", data={"code": code}).status_code == 303
    again = phone.ask("POST", "/pair", data={"code": code})
    assert again.status_code == 400
    assert "used already" in again.text
    assert "set-cookie" not in again.headers


def test_two_phones_at_once_with_one_code_pair_one(phone, sharing):
    code, _ = sharing.codes.open_code()
    answers = phone.ask_at_once(4, "POST", "/pair", data={"code": code})
    assert sorted(one.status_code for one in answers) == [303, 400, 400, 400]
    assert len(sharing.devices.all()) == 1


def test_codes_cannot_be_guessed_on_and_on(phone, sharing):
    for _ in range(5):
        assert phone.ask("POST", "/pair", data={"code": "22222-22222"}).status_code == 400
    code, _ = sharing.codes.open_code()
    answer = phone.ask("POST", "/pair", data={"code": code})
    assert answer.status_code == 429
    assert answer.headers["retry-after"] == "60"
    assert sharing.devices.all() == ()


def test_a_code_ends_after_five_minutes_and_with_the_next_one():
    clock = Clock()
    codes = Codes(clock)
    old, new = codes.new(), codes.new()
    assert codes.open_code() == (new, START + timedelta(minutes=5))
    assert not codes.use(old)
    clock.now += timedelta(minutes=5)
    assert codes.open_code() is None
    assert not codes.use(new)
    assert not codes.use("")
    last = codes.new()
    assert codes.use(f" {last[:5]}-{last[5:].lower()} ")
    assert not codes.use(last)


def test_tries_are_counted_within_a_minute():
    clock = Clock()
    codes = Codes(clock)
    for _ in range(5):
        assert not codes.use("x")
    code = codes.new()
    with pytest.raises(TooManyError):
        codes.use(code)
    clock.now += timedelta(minutes=1)
    assert codes.use(code)


def test_devices_are_listed_and_revoked_on_the_computer_only(here, phone, sharing):
    cookie = paired(sharing, phone)
    assert phone.get("/devices", headers=cookie).status_code == 403
    listed = here.get("/devices").text
    assert "my phone" in listed
    (number,) = re.findall('name="id" value="([0-9a-f]+)"', listed)
    mine = {"id": number}
    assert phone.ask("POST", "/devices/revoke", data=mine, headers=cookie).status_code == 403
    assert phone.ask("POST", "/devices/code", headers=cookie).status_code == 403
    assert here.ask("POST", "/devices/revoke", data=mine).status_code == 303
    assert phone.get("/discs", headers=cookie).status_code == 403
    assert here.ask("POST", "/devices/revoke", data=mine).status_code == 404


def test_the_page_shows_a_code_to_scan_and_makes_another(here, sharing):
    code, _ = sharing.codes.open_code()
    shown = here.get("/devices").text
    assert f"{code[:5]}-{code[5:]}" in shown
    assert "<svg" in shown
    assert "plain http" in shown
    assert here.ask("POST", "/devices/code").status_code == 303
    assert code not in here.get("/devices").text.replace("-", "")
    sharing.codes.use(sharing.codes.open_code()[0])
    assert "No code is open" in here.get("/devices").text


def test_what_is_scanned_is_the_link(here, sharing):
    code, _ = sharing.codes.open_code()
    link = f"http://{HOME}:8765/pair?code={code}"
    for said, shown in ((link, True), (link[:-1], False)):
        outline = re.search(' d="[^"]+"', segno.make(said, error="m").svg_inline(border=4))[0]
        assert (outline in here.get("/devices").text) == shown


@pytest.mark.parametrize(
    "headers",
    [{"host": "example.org"}, {"host": "192.168.7.21"}, {"host": ""}, {"host": f"{HOME}.evil.org"}],
)
def test_another_name_is_refused_on_the_home_network_too(phone, sharing, headers):
    assert phone.get("/", headers=paired(sharing, phone) | headers).status_code == 400


@pytest.mark.parametrize(
    "headers", [{"sec-fetch-site": "cross-site"}, {"origin": "http://evil.org"}, {"origin": "null"}]
)
def test_another_site_cannot_act_through_a_paired_phone(phone, sharing, season, headers):
    cookie = paired(sharing, phone)
    before = contents(season)
    answer = phone.ask("POST", "/log/delete", data={"id": "t1"}, headers=cookie | headers)
    assert answer.status_code == 403
    assert contents(season) == before


def test_saying_one_is_this_computer_does_not_help(phone):
    for headers in (
        {"host": "127.0.0.1"},
        {"x-forwarded-for": "127.0.0.1"},
        {"forwarded": "for=_"},
    ):
        assert phone.get("/discs", headers=headers).status_code == 403


def test_without_sharing_there_is_nothing_to_pair(season):
    page = Page(season)
    assert page.get("/pair").status_code == 404
    assert page.ask("POST", "/devices/code").status_code == 404
    assert "serve --share" in page.get("/devices").text
    assert page.get("/", headers={"host": HOME}).status_code == 400


def test_only_the_digest_of_a_secret_is_kept_and_not_in_the_data_file(phone, sharing, season):
    secret = paired(sharing, phone)["cookie"].split("=")[1].encode()
    beside = [path for path in season.parent.rglob("*") if path.is_file()]
    assert any(path.suffix == ".json" for path in beside)
    assert all(secret not in path.read_bytes() for path in beside)
    assert b"my phone" not in season.read_bytes()
    (folder,) = {path.parent for path in beside if path.suffix == ".json"}
    assert folder.stat().st_mode & 0o077 == 0


def test_a_device_is_asked_again_after_half_a_year(tmp_path):
    devices = Devices(tmp_path / "x.db")
    day = date(2026, 1, 31)
    device = devices.add("s" * 43, "a\u202eb\0<b>" + "x" * 99, day)
    assert device.name == "ab<b>" + "x" * 35
    assert devices.holder_of("s" * 43, day + timedelta(LASTS_DAYS - 1)) == device
    assert devices.holder_of("s" * 43, day + timedelta(LASTS_DAYS)) is None
    assert devices.holder_of("t" * 43, day) is None


@pytest.mark.parametrize("content", ["", "{", "[]", '{"sha256": 1}', '{"sha256":"","name":""}'])
def test_a_file_that_is_no_device_lets_nobody_in(tmp_path, content):
    devices = Devices(tmp_path / "x.db")
    device = devices.add("s" * 43, "phone", date(2026, 1, 1))
    (tmp_path / "x.db.devices" / f"{device.id}.json").write_text(content, encoding="utf-8")
    assert devices.holder_of("s" * 43, date(2026, 1, 2)) is None
    assert devices.all() == ()


@pytest.mark.parametrize("number", ["", "../x", "0" * 8, "..", "a/b", "\0"])
def test_a_number_names_no_other_file(tmp_path, number):
    (tmp_path / "x.json").write_text("kept", encoding="utf-8")
    with pytest.raises(NotFoundError):
        Devices(tmp_path / "x.db").revoke(number)
    assert (tmp_path / "x.json").exists()


@pytest.mark.parametrize(
    "address",
    ["8.8.8.8", "0.0.0.0", "127.0.0.1", "example.org", "", "::1", "1.2.3"],  # noqa: S104
)
def test_only_a_home_address_is_shared(season, address):
    with pytest.raises(InputError, match="such as 192"):
        Sharing.of(season, address, 8765)


def test_the_command_lists_and_revokes(cli, season):
    devices = Devices(season)
    first = devices.add("a" * 43, "old phone", date(2026, 5, 1))
    devices.add("b" * 43, "new phone", date(2026, 6, 1))
    assert "old phone" in cli("--data", season, "devices").out
    said = cli("--data", season, "devices", "--revoke", first.id, "--json")
    assert [one["name"] for one in json.loads(said.out)["devices"]] == ["new phone"]
    assert cli("--data", season, "devices", "--revoke", first.id).code == 1
    assert cli("--data", season, "devices", "--revoke", "all").code == 0
    assert devices.all() == ()
    assert cli("--data", season, "serve", "--on", "192.168.1.2").code == 1
    assert cli("--data", season, "serve", "--share", "--on", "8.8.8.8").code == 1


@pytest.mark.skipif(sys.platform != "linux", reason="needs a second loopback address")
def test_another_device_over_real_sockets(season):
    """The program shares on 127.0.0.2, which stands for the home network."""
    open_store(season).close()
    with socket.create_server(("127.0.0.1", 0)) as probe:
        port = probe.getsockname()[1]
    command = [sys.executable, "-c", "from rimwise.cli.main import run; run()"]
    serve = ["--data", season, "serve", "--share", "--on", "127.0.0.2", "--port", port, "--json"]
    with subprocess.Popen(
        [*command, *map(str, serve)], stdout=subprocess.PIPE, text=True
    ) as server:
        try:
            said = ""
            while not said.endswith("}\n"):
                said += server.stdout.readline()
            told = json.loads(said)
            elsewhere = httpx.Client(base_url=f"http://127.0.0.2:{port}", trust_env=False)
            here = httpx.Client(base_url=told["address"], trust_env=False)
            with elsewhere, here:
                assert here.get("/discs").status_code == 200
                assert elsewhere.get("/discs").status_code == 403
                assert elsewhere.get("/discs", headers={"host": "127.0.0.1"}).status_code == 403
                assert elsewhere.post("/pair", data={"code": told["code"]}).status_code == 303
                assert elsewhere.get("/discs").status_code == 200
                cli = [*command, "--data", str(season), "devices", "--revoke", "all"]
                subprocess.run(cli, check=True, capture_output=True)
                assert elsewhere.get("/discs").status_code == 403
        finally:
            server.terminate()
