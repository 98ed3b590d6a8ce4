"""Every error the core raises on purpose.

::

    UnderboardError
    └── InputFault      one value handed in cannot be used; it knows where it is and how to mend it
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
