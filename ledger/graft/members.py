"""Members put into the zip archive of a workbook, packed anew or as they were."""

from __future__ import annotations

import copy
import io
import zipfile
from collections.abc import Iterator

Content = bytes | Iterator[bytes]  # of a member: whole, or its pieces, to be taken once
_ZIP_EPOCH = (1980, 1, 1, 0, 0, 0)  # one fixed time, so that equal parts give equal bytes


def copy_record(
    target: zipfile.ZipFile, out: io.BytesIO, info: zipfile.ZipInfo, record: bytes
) -> None:
    """Copy a member of another archive as it is packed there."""
    # zipfile has no call for this: write the record where the central directory would begin
    # and list it; close() then writes the directory from the same ZipInfo values.
    moved = copy.copy(info)
    moved.header_offset = target.start_dir
    out.seek(target.start_dir)
    out.write(record)
    target.start_dir = out.tell()
    target.filelist.append(moved)
    target.NameToInfo[moved.filename] = moved


def write_member(target: zipfile.ZipFile, name: str, content: Content) -> None:
    """Pack a new member, given whole or piece by piece."""
    info = zipfile.ZipInfo(name, _ZIP_EPOCH)
    info.create_system = 0  # the same bytes whichever system writes them
    info.compress_type = zipfile.ZIP_DEFLATED
    with target.open(info, "w") as packed:
        for piece in [content] if isinstance(content, bytes) else content:
            packed.write(piece)
