"""The key, its file, and the pseudonyms it makes."""

from __future__ import annotations

import base64
import hashlib
import hmac
import stat
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ingest.building import KEY

from qa_audit import ingest
from qa_audit.errors import SettingsError


@given(st.sampled_from("RIAUPT"), st.text(max_size=40))
def test_a_pseudonym_is_the_letter_and_ten_characters_of_a_keyed_hash(letter: str, value: str) -> None:
    digest = hmac.new(KEY.secret, f"{letter}:{value.strip().lower()}".encode(), hashlib.sha256).digest()
    expected = f"{letter}-{base64.b32encode(digest).decode()[:10]}"  # RFC 4648 base32
    assert KEY.pseudonym(letter, value) == KEY.pseudonym(letter, f" {value} ") == expected


def test_another_key_gives_other_pseudonyms_and_another_fingerprint() -> None:
    other = ingest.Key(KEY.secret + b"!")
    assert KEY.pseudonym("R", "x") != other.pseudonym("R", "x")
    assert KEY.fingerprint != other.fingerprint
    assert KEY.secret.decode() not in repr(KEY) + KEY.fingerprint


def test_a_key_file_is_one_line_of_at_least_32_characters_trimmed(tmp_path: Path) -> None:
    file = tmp_path / "key"
    file.write_bytes(b"  " + KEY.secret + b" \r\n")
    assert ingest.Key.load(file) == KEY


@pytest.mark.parametrize("content", [b"", b"x" * 31, b"x" * 40 + b"\n" + b"y" * 40])
def test_any_other_key_file_is_refused_without_showing_it(tmp_path: Path, content: bytes) -> None:
    file = tmp_path / "key"
    file.write_bytes(content)
    with pytest.raises(SettingsError, match="at least 32 characters") as refused:
        ingest.Key.load(file)
    assert "xxx" not in str(refused.value)


def test_a_key_file_that_is_not_there_is_said(tmp_path: Path) -> None:
    with pytest.raises(SettingsError, match="no key file"):
        ingest.Key.load(tmp_path / "gone")


def test_a_new_key_is_readable_by_its_owner_alone_and_never_overwritten(tmp_path: Path) -> None:
    file = tmp_path / "folder" / "key"
    key = ingest.create_key(file)
    assert ingest.Key.load(file) == key
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    with pytest.raises(SettingsError, match="never overwritten"):
        ingest.create_key(file)
    assert ingest.Key.load(file) == key
