"""Encryption of a backup by the age format (age-encryption.org/v1), streamed.

A passphrase is made slow to try, and costs seconds and much memory each time. So the contents are encrypted for a
key pair, and only that key by the passphrase; both lie in one tar. The pair is kept beside the passphrase: a
nightly backup pays for neither, and a restore on the same machine need not ask.
"""

from __future__ import annotations

import hashlib
import hmac
import io
import os
import tarfile
import threading
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import IO, Any, BinaryIO

from underboard.core.errors import BackupBroken, PassphraseWrong
from underboard.data_folder import write_secret
from underboard.store.backup.archive import PIECE, READ_ME, SEALED, SEALED_KEY, WORDS, header, padding

Open = Callable[[bytes, str], str]
"""(the locked key, the file's name) → the secret half as age writes it; called for encrypted backups only."""


def write_plain(pieces: Iterable[bytes], out: IO[bytes]) -> None:
    for piece in pieces:
        out.write(piece)


@dataclass(frozen=True)
class SealingKey:
    """A key pair (`identity` is its secret half as age writes it), and the same locked by a passphrase."""

    identity: str = field(repr=False)
    locked: bytes


def new_sealing_key(passphrase: str) -> SealingKey:
    """Make a key pair that this passphrase opens; takes seconds, and tries the lock once."""
    import pyrage

    identity = str(pyrage.x25519.Identity.generate())
    key = SealingKey(identity, pyrage.passphrase.encrypt(f"{identity}\n".encode(), passphrase))
    if unlock(key.locked, passphrase, "the new key") != identity:
        raise OSError("the key that was just locked does not open")
    return key


def kept_sealing_key(keys: Path, passphrase: str) -> SealingKey:
    """Return the key pair kept in the keys folder for this passphrase, made anew when that has changed."""
    secret, locked, mark = keys / "backup_key", keys / "backup_key.age", keys / "backup_key.mark"
    try:
        found = SealingKey(secret.read_text("ascii").strip(), locked.read_bytes())
        if hmac.compare_digest(mark.read_text("ascii").strip(), _mark_of(found, passphrase)):
            return found
    except (OSError, UnicodeDecodeError):
        pass
    fresh = new_sealing_key(passphrase)
    write_secret(secret, fresh.identity)
    _write_private(locked, fresh.locked)
    write_secret(mark, _mark_of(fresh, passphrase))
    return fresh


def _mark_of(key: SealingKey, passphrase: str) -> str:
    """Tell which passphrase a kept key belongs to, and that its two halves belong together."""
    said = passphrase.encode() + b"\0" + key.locked
    return hmac.new(key.identity.encode(), said, hashlib.sha256).hexdigest()


def _write_private(file: Path, content: bytes) -> None:
    part = file.with_name(f"{file.name}.{os.getpid()}.part")
    with os.fdopen(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "wb") as out:
        out.write(content)
    part.replace(file)


def write_sealed(pieces: Iterable[bytes], out: IO[bytes], key: SealingKey, at: datetime) -> None:
    """Write pieces encrypted, as a tar of the key and what it opens. `out` can be sought in."""
    import pyrage

    identity = pyrage.x25519.Identity.from_str(key.identity)
    for name, content in ((READ_ME, WORDS.encode()), (SEALED_KEY, key.locked)):
        out.write(header(name, len(content), at) + content + padding(len(content)))
    at_header = out.tell()
    out.write(header(SEALED, 0, at))
    begin = out.tell()
    source, sink = _Pieces(pieces), _Sink(out)
    try:
        pyrage.encrypt_io(source, sink, [identity.to_public()])
    except pyrage.EncryptError:
        # What went wrong in our own hands is told as it was.
        raise (source.fault or sink.fault or OSError("the encryption failed")) from None
    size = out.tell() - begin
    out.write(padding(size) + bytes(1024))
    end = out.tell()
    out.seek(at_header)
    out.write(header(SEALED, size, at))
    out.seek(end)


@contextmanager
def opened_backup(path: Path, open_key: Open) -> Iterator[BinaryIO]:
    """Give the plain tar inside a backup file, from front to end.

    Raises
    ------
    BackupBroken, PassphraseWrong, PassphraseNeeded
    """
    with path.open("rb") as file:
        found = _sealed_parts(file, path.name)
        if found is None:
            file.seek(0)
            yield file
            return
        key, content = found
        with _decrypted(content, open_key(key, path.name), path.name) as stream:
            yield stream


def is_backup(path: Path) -> bool:
    """Say whether a file begins like a backup of ours."""
    try:
        with path.open("rb") as file, tarfile.open(fileobj=file, mode="r:") as tar:
            first = tar.next()
            source = tar.extractfile(first) if first is not None and first.name == READ_ME else None
            return source is not None and source.read(18) == WORDS[:18].encode()
    except (OSError, tarfile.TarError, EOFError):
        return False


def _sealed_parts(file: BinaryIO, shown: str) -> tuple[bytes, Any] | None:
    """Return the locked key and the encrypted contents, or None for a plain backup."""
    try:
        tar = tarfile.open(fileobj=file, mode="r:")  # noqa: SIM115 (its members are read after this)
        first, second = tar.next(), tar.next()
        if first is None or second is None or first.name != READ_ME:
            raise BackupBroken(shown, "it is something else.")
        if second.name != SEALED_KEY:
            return None
        third = tar.next()
        if third is None or third.name != SEALED or second.size > 65_536:
            raise BackupBroken(shown, "its encrypted part is missing.")
        key = tar.extractfile(second)
        return (key.read() if key else b""), tar.extractfile(third)
    except (tarfile.TarError, EOFError) as fault:
        raise BackupBroken(shown, f"it ends too early or is something else ({fault}).") from fault


def unlock(locked: bytes, passphrase: str, shown: str) -> str:
    """Open a locked key by its passphrase; takes seconds.

    Raises
    ------
    PassphraseWrong
    """
    import pyrage

    try:
        opened: bytes = pyrage.passphrase.decrypt(locked, passphrase)
        return opened.decode("ascii").strip()
    except (pyrage.DecryptError, UnicodeDecodeError) as fault:
        raise PassphraseWrong(f"That passphrase does not open {shown}.") from fault


@contextmanager
def _decrypted(content: Any, identity: str, shown: str) -> Iterator[BinaryIO]:
    """Decrypt in a thread of its own and give what comes out of it."""
    read_end, write_end = os.pipe()
    faults: list[Exception] = []

    def decrypt() -> None:
        import pyrage

        with os.fdopen(write_end, "wb", buffering=PIECE) as out:
            try:
                pyrage.decrypt_io(_Contained(content), out, [pyrage.x25519.Identity.from_str(identity)])
            except Exception as fault:
                faults.append(fault)

    worker = threading.Thread(target=decrypt, name="decrypt", daemon=True)
    worker.start()
    try:
        with os.fdopen(read_end, "rb", buffering=PIECE) as stream:
            yield stream
            # To the very end: that is where age tells a whole text from one that was cut.
            while stream.read(PIECE):
                pass
    except BackupBroken:
        worker.join()
        if faults:
            raise BackupBroken(shown, "it was cut or changed after it was made.") from faults[0]
        raise
    worker.join()
    if faults:
        raise BackupBroken(shown, "it was cut or changed after it was made.") from faults[0]


class _Pieces:
    """Pieces, to be read by the byte."""

    def __init__(self, pieces: Iterable[bytes]) -> None:
        self._pieces = iter(pieces)
        self._rest = io.BytesIO()
        self.fault: BaseException | None = None

    def read(self, size: int = -1) -> bytes:
        try:
            while not (piece := self._rest.read(size)):
                self._rest = io.BytesIO(next(self._pieces))
            return piece
        except StopIteration:
            return b""
        except BaseException as fault:
            self.fault = fault
            raise


class _Sink:
    """A file that remembers why it could not be written."""

    def __init__(self, out: IO[bytes]) -> None:
        self._out = out
        self.fault: BaseException | None = None

    def write(self, piece: bytes) -> int:
        try:
            return self._out.write(piece)
        except BaseException as fault:
            self.fault = fault
            raise

    def flush(self) -> None:
        try:
            self._out.flush()
        except BaseException as fault:
            self.fault = fault
            raise


class _Contained:
    """A member of a tar that ends early where the file does."""

    def __init__(self, source: Any) -> None:
        self._source = source

    def read(self, size: int = -1) -> bytes:
        try:
            return bytes(self._source.read(size))
        except tarfile.TarError:
            return b""
