"""JSON that bears a digest of itself as its first key, so that no damage goes unseen."""

import hashlib

_FIRST, _THEN, _LENGTH = b'{"sum": "', b'", ', 16


def sealed(text: bytes) -> bytes:
    """An object with its digest.

    Parameters
    ----------
    text : a JSON object with one key at least
    """
    return _FIRST + _digest(text[1:]) + _THEN + text[1:]


def has_seal(text: bytes) -> bool:
    """Whether an object begins as a sealed one; what an older program wrote does not."""
    return text.startswith(_FIRST)


def is_as_sealed(text: bytes) -> bool:
    """Whether an object is as it was written, as far as its seal tells; one without a seal is."""
    rest = text[len(_FIRST) + _LENGTH + len(_THEN) :]
    return not has_seal(text) or text == _FIRST + _digest(rest) + _THEN + rest


def _digest(text: bytes) -> bytes:
    return hashlib.sha256(text).hexdigest()[:_LENGTH].encode()
