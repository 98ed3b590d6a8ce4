"""A warning on its way to a phone: from the outbox by the server's own ticker to a push service that speaks HTTP,
opened with the phone's keys, handed to its worker in real Chromium, and read back as the notice that it shows.

Chromium without an account gets no subscription from its own push service, so the page is given one whose
keys and address are the test's; everything behind it is real.
"""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import CDPSession, Page, expect
from playwright.sync_api import Worker as ServiceWorker
from sqlalchemy import select

from tests.browser.phone import Phone, until
from tests.browser.server import ServerProcess
from tests.browser.small_plot import LONG, new_plot
from tests.conftest import bare_app
from tests.notify.conftest import MailServerProcess, mail_servers
from tests.notify.push_service import PushService, running
from tests.notify.subscriber import Subscriber
from tests.store.outgoing import Outgoing
from underboard.store import db
from underboard.store.reach import note_trial
from underboard.store.tables import PushTargetRow

pytestmark = pytest.mark.browser

SUBSCRIBE = """([endpoint, p256dh, auth]) => {
  let held = null;
  const make = (key) => ({
    endpoint,
    options: { applicationServerKey: key },
    toJSON: () => ({ endpoint, keys: { p256dh, auth } }),
    unsubscribe: async () => { held = null; return true; },
  });
  const plain = (text) => atob(text.replace(/-/g, '+').replace(/_/g, '/'));
  const bytes = (text) => Uint8Array.from(plain(text), (letter) => letter.charCodeAt(0)).buffer;
  PushManager.prototype.getSubscription = async () => held;
  PushManager.prototype.subscribe = async ({ userVisibleOnly, applicationServerKey }) => {
    if (!userVisibleOnly) throw new DOMException('every message must be seen', 'NotAllowedError');
    held = make(bytes(applicationServerKey));
    return held;
  };
}"""
# Headless Chromium has no tray: it puts a notice away by itself after a while, and forgets one that it has not
# drawn yet as soon as it is asked for its notices. So what the worker shows and closes is listened to on the way.
LISTEN = """() => {
  const told = { shown: [], closed: [] };
  const show = self.registration.showNotification.bind(self.registration);
  self.registration.showNotification = async (title, said) => {
    await show(title, said);
    told.shown.push({ title, body: said.body, tag: said.tag });
  };
  const close = Notification.prototype.close;
  Notification.prototype.close = function () { told.closed.push(this.tag); close.call(this); };
  self.told = told;
}"""
# A notice to tap: shown anew until the browser still knows it when it is asked.
TAP = """async () => {
  for (let tries = 0; tries < 200; tries++) {
    await self.registration.showNotification('A warning on your plot', { tag: 'tapped' });
    await new Promise((done) => setTimeout(done, 200));
    const [notification] = await self.registration.getNotifications({ tag: 'tapped' });
    if (!notification) continue;
    self.dispatchEvent(new NotificationEvent('notificationclick', { notification }));
    return notification.tag;
  }
}"""


@dataclass
class Worker:
    """The phone's service worker, as the browser's own push machinery reaches it."""

    page: Page
    script: ServiceWorker
    session: CDPSession
    origin: str
    registration: str

    @classmethod
    def of(cls, page: Page, origin: str) -> Worker:
        session = page.context.new_cdp_session(page)
        seen: list[dict[str, Any]] = []
        session.on(
            "ServiceWorker.workerRegistrationUpdated", lambda event: seen.extend(event["registrations"])
        )
        session.send("ServiceWorker.enable")
        until(page, "navigator.serviceWorker.ready.then((here) => here.active?.state === 'activated')")
        for _ in range(600):
            if seen and page.context.service_workers:
                break
            page.wait_for_timeout(100)
        (script,) = page.context.service_workers
        script.evaluate(LISTEN)
        return cls(page, script, session, origin, str(seen[-1]["registrationId"]))

    def deliver(self, data: str) -> None:
        self.session.send(
            "ServiceWorker.deliverPushMessage",
            {"origin": self.origin, "registrationId": self.registration, "data": data},
        )

    def shown(self, count: int) -> list[dict[str, str]]:
        """What was shown, once there were `count` notices: the last of each tag, since it takes the other's place."""
        told: list[dict[str, str]] = []
        for _ in range(600):
            told = self.script.evaluate("told.shown")
            if len(told) >= count:
                break
            self.page.wait_for_timeout(100)
        assert len(told) == count, told
        return list({one["tag"]: one for one in told}.values())


@pytest.fixture
def service() -> Iterator[PushService]:
    with running() as made:
        yield made


@pytest.fixture(scope="module")
def mails(tmp_path_factory: pytest.TempPathFactory) -> Iterator[MailServerProcess]:
    with mail_servers(tmp_path_factory.mktemp("mails")) as start:
        yield start()


@pytest.fixture(scope="module")
def server(
    tmp_path_factory: pytest.TempPathFactory, migrated_sqlite: Path, mails: MailServerProcess
) -> Iterator[ServerProcess]:
    """A server that may call a push service on this machine, and sends mails; each test has a plot of its own."""
    mail = {"HOST": "127.0.0.1", "PORT": str(mails.port), "SECURITY": "none", "FROM": "plot@example.net"}
    process = ServerProcess(tmp_path_factory.mktemp("data"))
    shutil.copyfile(migrated_sqlite, process.data / "underboard.sqlite3")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("UNDERBOARD_PUSH_PLAIN_LOOPBACK", "on")
        for name, value in mail.items():
            patch.setenv(f"UNDERBOARD_MAIL_{name}", value)
        process = ServerProcess(process.data, process.port)
    yield process.start()
    process.stop()


def joined(new_phone: Callable[..., Phone], server: ServerProcess, plot_id: str) -> Phone:
    phone = new_phone(server.url, "may", whole=True)
    page = phone.go(f"/#pair={server.code_for(plot_id)}")
    page.get_by_role("button", name=re.compile("join", re.IGNORECASE)).first.click(timeout=LONG)
    page.get_by_label("Your name").fill("May", timeout=LONG)
    page.get_by_role("button", name="Next").click()
    expect(page.get_by_role("heading", name="Now", exact=True)).to_be_visible(timeout=LONG)
    return phone


def allowed(phone: Phone, service: PushService, browser: Subscriber) -> Page:
    """Open Sync and tap what allows notices."""
    phone.context.grant_permissions(["notifications"], origin=phone.url)
    keys = browser.keys
    given = json.dumps([f"{service.url}/phone", keys["p256dh"], keys["auth"]])
    phone.context.add_init_script(f"({SUBSCRIBE})({given})")
    page = phone.go("/sync")
    page.get_by_role("button", name="Allow notices on this phone").click(timeout=LONG)
    expect(page.get_by_role("button", name="Stop notices here")).to_be_visible(timeout=LONG)
    return page


def wait_for(service: PushService, count: int, page: Page) -> None:
    for _ in range(1_800):  # the ticker's turn, and that of a machine that is busy
        if len(service.received) >= count:
            return
        page.wait_for_timeout(100)
    raise AssertionError(f"{len(service.received)} of {count} pushes after three minutes")


def test_a_warning_becomes_one_notice_on_the_phone(
    server: ServerProcess, new_phone: Callable[..., Phone], service: PushService
) -> None:
    plot_id, browser = new_plot(server), Subscriber()
    phone = joined(new_phone, server, plot_id)
    page = allowed(phone, service, browser)
    worker = Worker.of(page, f"{server.url}/")

    page.get_by_role("button", name="Send a trial").first.click()
    expect(page.get_by_text("Sent: it should show within a minute.")).to_be_visible(timeout=LONG)
    worker.deliver(json.dumps(browser.open(service.received[0].body)))
    (trial,) = worker.shown(1)
    assert trial["body"] == "A trial: notices arrive on this phone."

    app = bare_app(f"sqlite:///{server.data / 'underboard.sqlite3'}")
    with app.app_context():
        plot, now = Outgoing(plot_id), datetime.now(UTC)
        words = {"window_end": (now + timedelta(hours=9)).isoformat()}
        ids = [plot.warning("Frost at 51.5 N", **words), plot.warning("Slugs are rising", **words)]
        assert plot.plan(*ids, now=now, wakes=True, hours=1_000_000) == 2
        db.engine.dispose()
    wait_for(service, 2, page)
    push = browser.open(service.received[1].body)
    assert push["n"] == 2
    said = {
        "title": "2 warnings on your plot",
        "body": "Tap to see what, where and when.",
        "tag": push["tag"],
    }
    worker.deliver(json.dumps(push))
    worker.deliver(json.dumps(push))  # the same again, after a connection that broke
    _, *notices = worker.shown(3)
    assert notices == [said]
    read = [[notice["title"], notice["body"]] for notice in notices]
    assert not re.search("51|frost|slug", json.dumps(read), re.IGNORECASE)

    # The push service gives the phone up: it is said, and the phone asks for a new place by itself.
    service.will_answer(410)
    page.get_by_role("button", name="Send a trial").first.click()
    expect(page.get_by_text("The push service no longer knows this phone")).to_be_visible(timeout=LONG)
    page.get_by_role("button", name="Send a trial").first.click()
    expect(page.get_by_text("Sent: it should show within a minute.")).to_be_visible(timeout=LONG)
    assert [browser.open(one.body)["n"] for one in service.received] == [0, 2, 0, 0]

    page.get_by_role("button", name="Stop notices here").click()
    expect(page.get_by_role("button", name="Allow notices on this phone")).to_be_visible(timeout=LONG)
    assert phone.errors == []


def test_whatever_comes_is_seen_and_leads_to_now(
    server: ServerProcess, new_phone: Callable[..., Phone], service: PushService
) -> None:
    plot_id = new_plot(server)
    phone = joined(new_phone, server, plot_id)
    page = allowed(phone, service, Subscriber())
    worker = Worker.of(page, f"{server.url}/")
    # What makes no sense shares one tag, so the second takes the place of the first.
    made_of = ("", "not JSON", '{"n": -3, "tag": "a"}', '{"n": 1, "tag": "b"}', "[]")
    for n, data in enumerate(made_of, start=1):
        worker.deliver(data)
        assert len(worker.shown(n)) == (1, 1, 2, 3, 3)[n - 1]
    assert {one["title"] for one in worker.shown(5)} == {"Warnings on your plot", "A warning on your plot"}

    script = worker.script
    page.reload()  # in the worker's hands from the first moment
    until(page, "navigator.serviceWorker.controller !== null")
    assert page.url.endswith("/sync")
    with page.expect_navigation(url=f"{server.url}/"):
        tapped = script.evaluate(TAP)
    assert script.evaluate("told.closed") == [tapped]

    # The browser renews the subscription while no page is looking: the worker tells the server by itself.
    fresh = Subscriber().keys
    script.evaluate(
        """([endpoint, p256dh, auth]) => {
             const event = new ExtendableEvent('pushsubscriptionchange');
             const subscription = { toJSON: () => ({ endpoint, keys: { p256dh, auth } }) };
             Object.defineProperty(event, 'newSubscription', { value: subscription });
             self.dispatchEvent(event);
           }""",
        [f"{service.url}/renewed", fresh["p256dh"], fresh["auth"]],
    )
    app = bare_app(f"sqlite:///{server.data / 'underboard.sqlite3'}")
    of_plot = select(PushTargetRow.endpoint).where(PushTargetRow.plot_id == plot_id)
    with app.app_context():
        for _ in range(600):
            with db.engine.connect() as connection:
                found = connection.execute(of_plot).scalar_one()
            if found == f"{service.url}/renewed":
                break
            page.wait_for_timeout(100)
        db.engine.dispose()
    assert found == f"{service.url}/renewed"
    assert phone.errors == []


def test_addresses_and_the_calendar_are_kept_on_the_sync_screen(
    server: ServerProcess,
    new_phone: Callable[..., Phone],
    mails: MailServerProcess,
) -> None:
    plot_id = new_plot(server)
    app = bare_app(f"sqlite:///{server.data / 'underboard.sqlite3'}")
    with app.app_context():
        lost = Outgoing(plot_id).phone("Bo's phone")
        note_trial("push", lost, "gone", "", datetime.now(UTC))
        db.engine.dispose()
    phone = joined(new_phone, server, plot_id)
    page = phone.go("/sync")
    expect(page.get_by_role("heading", name="On other phones")).to_be_visible(timeout=LONG)
    expect(page.get_by_text("Nothing arrives. The push service no longer knows this phone")).to_be_visible()
    field = page.get_by_label("Mail address")
    field.fill("may", timeout=LONG)
    page.get_by_role("button", name="Add", exact=True).click()
    expect(page.get_by_text("A mail address such as name@example.org.")).to_be_visible()
    field.fill("may@example.org")
    page.get_by_role("button", name="Add", exact=True).click()
    expect(page.get_by_text("may@example.org", exact=True)).to_be_visible(timeout=LONG)
    page.get_by_role("button", name="Send a trial").click()
    expect(page.get_by_text("Handed to the mail server")).to_be_visible(timeout=LONG)
    (mail,) = mails.mails
    assert mail["To"] == "may@example.org"

    page.get_by_role("button", name="Make an address").click()
    address = page.get_by_text(re.compile(r"/calendar/[\w-]+\.ics$"))
    expect(address).to_be_visible(timeout=LONG)
    url = address.inner_text()
    assert "BEGIN:VCALENDAR" in page.evaluate("(url) => fetch(url).then((answer) => answer.text())", url)
    page.get_by_role("button", name="Withdraw it").click()
    expect(page.get_by_text("No address has been made.")).to_be_visible(timeout=LONG)
    assert page.evaluate("(url) => fetch(url).then((answer) => answer.status)", url) == 404

    # The stop link opens its own page, not the app, in a browser that has the app.
    stop = str(mail["List-Unsubscribe"]).strip(" <>")
    page.goto(stop)
    page.get_by_role("button", name="Stop these mails").click()
    expect(page.get_by_role("heading", name="Stopped")).to_be_visible()
    phone.go("/sync")
    expect(page.get_by_text("Stopped by whoever reads it")).to_be_visible(timeout=LONG)
    page.get_by_role("button", name="Remove: may@example.org").click()
    expect(page.get_by_text("No mail address yet.")).to_be_visible(timeout=LONG)
    assert phone.errors == []
