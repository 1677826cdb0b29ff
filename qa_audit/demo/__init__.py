"""The invented service "Ostrel Sound Ambulance": writes its sample months, its settings and its key."""

from __future__ import annotations

from pathlib import Path

from qa_audit.demo.pseudonyms import KEY
from qa_audit.demo.sample_settings import KEY_FILE_NAME, settings_text
from qa_audit.demo.samples import files
from qa_audit.errors import DiskError

SEED = 402


def write_samples(folder: Path, seed: int = SEED) -> None:
    """Write three months of XML, `settings.yaml` and the invented key into a folder; the same seed, the same bytes.

    Raises `DiskError` when the folder cannot be written.
    """
    contents = {file.path: file.content for file in files(seed)}
    contents |= {"settings.yaml": settings_text().encode(), KEY_FILE_NAME: f"{KEY}\n".encode()}
    try:
        for path, content in contents.items():
            (folder / path).parent.mkdir(parents=True, exist_ok=True)
            (folder / path).write_bytes(content)
    except OSError as fault:
        raise DiskError(f"{folder}: the samples cannot be written ({fault.strerror}); check the folder.") from None


__all__ = ["SEED", "write_samples"]
