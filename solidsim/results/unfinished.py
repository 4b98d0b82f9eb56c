"""Reading a file that its writer never closed.

HDF5 marks a file that is open for writing and refuses it from then on. Its own way around, the
reader's side of the single-writer mode, waits for ever where a file was cut short, as after a
loss of power. Here the file is read as it stands, and the mark is taken off the copy in memory.

References
----------
HDF5 File Format Specification Version 3.0, section II.A "Superblock", versions 2 and 3.
Jenkins 2006, lookup3.c, function hashlittle (public domain).
"""

import io
import struct
from pathlib import Path

SIGNATURE = b"\x89HDF\r\n\x1a\n"
SUPERBLOCK = struct.Struct("<8s4B4Q")  # signature; version, sizes, marks; four addresses
WORD = 0xFFFFFFFF


def closed_copy(path: Path) -> io.BytesIO:
    """The file in memory, marked as closed and as long as it really is."""
    content = bytearray(path.read_bytes())
    if len(content) >= SUPERBLOCK.size + 4:
        signature, version, *sizes, _, base, extension, _, root = SUPERBLOCK.unpack_from(content)
        if signature == SIGNATURE and version == 3:
            fields = (signature, version, *sizes, 0, base, extension, len(content), root)
            SUPERBLOCK.pack_into(content, 0, *fields)
            checksum = hash_little(bytes(content[: SUPERBLOCK.size]))
            struct.pack_into("<I", content, SUPERBLOCK.size, checksum)
    return io.BytesIO(content)


def hash_little(key: bytes) -> int:
    """Jenkins' hash, the checksum of HDF5 metadata."""
    if not key:
        return 0xDEADBEEF
    blocks = (len(key) - 1) // 12 + 1
    words = struct.unpack(f"<{3 * blocks}I", key.ljust(12 * blocks, b"\0"))
    a = b = c = (0xDEADBEEF + len(key)) & WORD
    for start in range(0, 3 * blocks, 3):
        a, b, c = ((x + y) & WORD for x, y in zip((a, b, c), words[start : start + 3], strict=True))
        if start < 3 * (blocks - 1):
            for turn in (4, 6, 8, 16, 19, 4):  # three values take turns in one pattern
                a = ((a - c) & WORD) ^ _turned(c, turn)
                c = (c + b) & WORD
                a, b, c = b, c, a
    for turn in (14, 11, 25, 16, 4, 14, 24):
        c = ((c ^ b) - _turned(b, turn)) & WORD
        a, b, c = b, c, a
    return b


def _turned(word: int, places: int) -> int:
    return ((word << places) | (word >> (32 - places))) & WORD
