"""Every error Underboard raises on purpose; one place (the web's problem table, the command line) turns
them into answers.

::

    UnderboardError
    ├── InputFault            one value handed in cannot be used; it knows where it is and how to mend it
    │   └── EnvelopeFault     a whole push cannot be read, so none of its operations was looked at
    ├── NotHere               what was asked for is not in this plot (or belongs to another one)
    │   ├── UnknownPlot · UnknownDevice · UnknownBlob · UnknownRecord
    │   └── CursorOfOtherPlot
    ├── SyncFault
    │   ├── CursorForged      not a cursor this server gave out
    │   ├── CursorExpired     older than the deletions still kept: start again from nothing
    │   ├── EpochChanged      the server was restored from a backup since
    │   └── SchemaUnsupported the client is too old or too new
    ├── PairingFault
    │   └── CodeUnknown · CodeExpired · CodeUsed · TooManyTries
    ├── PhotoFault
    │   └── PhotoTooLarge · PhotoMismatch · PhotoUnreadable · PhotoTellsPlace
    ├── JobFault
    │   └── FenceLost · Overtaken
    ├── CertificateFault      a certificate can't be made or taken in
    ├── StoreFault
    │   └── StoreBusy · StoreFull · StoreNewer · StoreDamaged · FolderInUse · PhotosAway
    └── BackupFault
        └── BackupFailed · BackupBroken · PassphraseNeeded · PassphraseWrong
"""

from __future__ import annotations


class UnderboardError(Exception):
    """The root: anything below is foreseen and has a sentence for people."""


class InputFault(UnderboardError, ValueError):
    """A value that cannot be used.

    Parameters
    ----------
    pointer
        JSON pointer (RFC 6901) to the value inside what was handed in, such as ``/counts/3``;
        the empty string is the whole of it.
    detail
        One plain sentence: what is wrong and what would be right.
    """

    def __init__(self, pointer: str, detail: str) -> None:
        super().__init__(f"{pointer}: {detail}" if pointer else detail)
        self.pointer = pointer
        self.detail = detail


class EnvelopeFault(InputFault):
    """A push whose frame cannot be read. Nothing of it was stored."""


class NotHere(UnderboardError):
    """Something asked for by name is not in this plot. What belongs to others is not here either."""


class UnknownPlot(NotHere):
    """No plot of that id."""

    def __init__(self, plot_id: str) -> None:
        super().__init__(f"There is no plot {plot_id} on this server. `underboard pair` lists them.")
        self.plot_id = plot_id


class UnknownDevice(NotHere):
    """No device of that id in the plot."""

    def __init__(self, device_id: str) -> None:
        super().__init__(f"This plot has no device {device_id}.")
        self.device_id = device_id


class UnknownBlob(NotHere):
    """No photo of that hash in the plot, or no record names it yet."""

    def __init__(self, sha256: str) -> None:
        super().__init__(f"This plot has no photo {sha256}.")
        self.sha256 = sha256


class UnknownRecord(NotHere):
    """No record of that id in the plot, now or before."""

    def __init__(self, record_id: str) -> None:
        super().__init__(f"This plot has no record {record_id}.")
        self.record_id = record_id


class CursorOfOtherPlot(NotHere):
    """A cursor that belongs to another plot."""

    def __init__(self) -> None:
        super().__init__("That cursor is not one of this plot. Pull once without a cursor.")


class SyncFault(UnderboardError):
    """The client and the server do not agree where they stand."""


class CursorForged(SyncFault):
    """Not a cursor that this server gave out."""

    def __init__(self) -> None:
        super().__init__("That is not a cursor of this server. Pull once without a cursor.")


class CursorAhead(CursorForged):
    """A cursor of this plot and epoch, further than the plot has come: made up, or an older database lies here."""


class CursorExpired(SyncFault):
    """The cursor is older than the deletions that are still kept."""

    def __init__(self) -> None:
        super().__init__(
            "This phone was away for longer than deletions are kept. Pull everything again, without a cursor."
        )


class EpochChanged(SyncFault):
    """The server was restored from a backup since the client last heard from it.

    Parameters
    ----------
    epoch
        The epoch that holds now.
    """

    def __init__(self, epoch: str) -> None:
        super().__init__(
            "The server was restored from a backup. Pull everything again, then send your records."
        )
        self.epoch = epoch


class SchemaUnsupported(SyncFault):
    """The client speaks a record schema outside ``lowest`` to ``highest``."""

    def __init__(self, lowest: int, highest: int) -> None:
        super().__init__(
            f"This server speaks record schemas {lowest} to {highest}. Update the app, then send again."
        )
        self.lowest = lowest
        self.highest = highest


class PairingFault(UnderboardError):
    """A pairing code that does not open the door."""


class CodeUnknown(PairingFault):
    """No such code."""

    def __init__(self) -> None:
        super().__init__("That pairing code is not known. Ask for a new one with `underboard pair`.")


class CodeExpired(PairingFault):
    """The code's ten minutes are over."""

    def __init__(self) -> None:
        super().__init__("That pairing code has run out: it holds for ten minutes. Ask for a new one.")


class CodeUsed(PairingFault):
    """The code has let one device in already."""

    def __init__(self) -> None:
        super().__init__("That pairing code has been used. Each code lets in one device: ask for a new one.")


class TooManyTries(PairingFault):
    """Too many wrong guesses at one code: it is burnt."""

    def __init__(self) -> None:
        super().__init__("Too many wrong tries at this code. Ask for a new one with `underboard pair`.")


class PhotoFault(UnderboardError):
    """A photo that is not taken in. Nothing of it is kept."""


class PhotoTooLarge(PhotoFault):
    """More bytes, or more picture points, than are taken in."""

    def __init__(self, what: str) -> None:
        super().__init__(f"The photo is too large: at most {what}. Send it smaller.")


class PhotoMismatch(PhotoFault):
    """The bytes are not the ones the name (their SHA-256) promises."""

    def __init__(self) -> None:
        super().__init__("The photo arrived damaged: its bytes do not match its name. Send it again.")


class PhotoUnreadable(PhotoFault):
    """Not a whole JPEG, PNG or WebP picture."""

    def __init__(self) -> None:
        super().__init__("That is not a whole JPEG, PNG or WebP picture.")


class PhotoTellsPlace(PhotoFault):
    """The file carries the coordinates where it was taken."""

    def __init__(self) -> None:
        super().__init__("The photo still tells where it was taken. Send it without its location data.")


class CertificateFault(UnderboardError):
    """A certificate, or a name in one, that can't be made or taken in; says what would do."""


class StoreFault(UnderboardError):
    """The database cannot do it now."""


class StoreBusy(StoreFault):
    """Somebody else is writing and has been for seconds."""

    def __init__(self) -> None:
        super().__init__("The server is busy writing. Try again in a few seconds.")


class StoreFull(StoreFault):
    """No room on the disk."""

    def __init__(self) -> None:
        super().__init__("The server's disk is full. Make room, then send again: the phone keeps everything.")


class StoreUnwritable(StoreFault):
    """The disk is read-only or answers with errors."""

    def __init__(self) -> None:
        super().__init__(
            "The server can't read or write its disk. Phones keep their records; on the server, "
            "`underboard doctor` says what it is."
        )


class StoreNewer(StoreFault):
    """The database was written by a later version of Underboard."""

    def __init__(self, revision: str) -> None:
        super().__init__(
            f"A newer Underboard wrote this data folder (database step {revision}). Install that version."
        )
        self.revision = revision


class StoreDamaged(StoreFault):
    """What lies on the disk is not the whole database that was left there. Nothing of it was changed."""

    def __init__(self, what: str) -> None:
        super().__init__(f"{what} Nothing was changed. Phones keep their records meanwhile.")


class FolderInUse(StoreFault):
    """Another process of Underboard has the data folder, and this needs it alone (or the other way round)."""


class PhotosAway(StoreFault):
    """The storage that holds the photos does not answer, or refuses us."""

    def __init__(self, why: str) -> None:
        super().__init__(
            f"The photo storage can't be used now ({why}). Photos wait on the phones, records are not touched; on the "
            "server, `underboard doctor` says more."
        )
        self.why = why


class BackupFault(UnderboardError):
    """A backup or a restore did not come to its end; what was there before is as it was."""


class BackupFailed(BackupFault):
    """A backup could not be written, or a restore could not be put in."""


class BackupBroken(BackupFault):
    """A file is no backup, or not a whole one."""

    def __init__(self, name: str, what: str) -> None:
        super().__init__(f"{name} is no whole backup: {what} Take another one.")
        self.what = what


class PassphraseNeeded(BackupFault):
    """The backup is encrypted, and nobody is there to ask for its passphrase."""


class PassphraseWrong(BackupFault):
    """The passphrase does not open the backup."""


class JobFault(UnderboardError):
    """A run of a scheduled job may not write what it worked out."""


class FenceLost(JobFault):
    """The run took too long and somebody else has it now."""

    def __init__(self, plot_id: str, slot: object) -> None:
        super().__init__(
            f"The run of {slot} for plot {plot_id} belongs to somebody else now; nothing was written."
        )


class Overtaken(JobFault):
    """Another run wrote about this plot since this one read it."""

    def __init__(self, plot_id: str) -> None:
        super().__init__(f"Another run was quicker for plot {plot_id}; nothing was written.")
