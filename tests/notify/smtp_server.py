"""A mail server in a process of its own (aiosmtpd); every mail it takes becomes a file.

    python smtp_server.py FOLDER OPTIONS

OPTIONS is JSON: `answers`, a list of [step, words] used up one a mail, where step is rcpt or data and words an
SMTP answer or "drop"; `security` none, starttls or tls with `certificate` and `key`; `user` and `password`.
"""

from __future__ import annotations

import asyncio
import json
import ssl
import sys
from pathlib import Path
from typing import Any

from aiosmtpd.smtp import SMTP, AuthResult, Envelope, LoginPassword, Session


class Keeper:
    """Writes mails down, and answers as it is told."""

    def __init__(self, folder: Path, answers: list[list[str]]) -> None:
        self.folder = folder
        self.answers = answers

    async def handle_RCPT(
        self, _server: SMTP, _session: Session, envelope: Envelope, to: str, _options: Any
    ) -> str:
        said = self._said("rcpt")
        if said is None:
            envelope.rcpt_tos.append(to)
        return said or "250 OK"

    async def handle_DATA(self, server: SMTP, _session: Session, envelope: Envelope) -> str:
        said = self._said("data")
        if said in (None, "drop"):
            number = len(list(self.folder.glob("*.eml")))
            secure = server.transport.get_extra_info("ssl_object") is not None
            facts = f"X-Test-To: {','.join(envelope.rcpt_tos)}\r\nX-Test-Tls: {secure}\r\n"
            (self.folder / f"{number:03}.eml").write_bytes(facts.encode() + bytes(envelope.content or b""))
        if said == "drop":
            server.transport.abort()
        return said or "250 OK"

    def _said(self, step: str) -> str | None:
        if self.answers and self.answers[0][0] == step:
            return self.answers.pop(0)[1]
        return None


def context(options: dict[str, Any]) -> ssl.SSLContext | None:
    if options.get("security", "none") == "none":
        return None
    made = ssl.create_default_context(ssl.Purpose.CLIENT_AUTH)
    made.load_cert_chain(options["certificate"], options["key"])
    return made


async def serve(folder: Path, options: dict[str, Any]) -> None:
    tls, security = context(options), options.get("security", "none")
    keeper = Keeper(folder, options.get("answers", []))

    def check(
        _server: Any, _session: Any, _envelope: Any, _mechanism: str, given: LoginPassword
    ) -> AuthResult:
        right = (given.login.decode(), given.password.decode()) == (options["user"], options["password"])
        return AuthResult(success=right, handled=right)  # unhandled: answered with 535

    def make() -> SMTP:
        return SMTP(
            keeper,
            hostname="mail.example.org",
            tls_context=tls if security == "starttls" else None,
            require_starttls=security == "starttls",
            auth_required="user" in options,
            auth_require_tls=security == "starttls",
            authenticator=check if "user" in options else None,
        )

    loop = asyncio.get_running_loop()
    server = await loop.create_server(make, "127.0.0.1", 0, ssl=tls if security == "tls" else None)
    print(server.sockets[0].getsockname()[1], flush=True)
    await server.serve_forever()


if __name__ == "__main__":
    asyncio.run(serve(Path(sys.argv[1]), json.loads(sys.argv[2])))
