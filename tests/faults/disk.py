"""Every call by which SQLite changes the disk, seen, counted and made to fail: a thin VFS between SQLite and the files.

It wraps the default VFS of the library that Python's own `sqlite3` has loaded, so that the app's code is tested as it
is. See https://www.sqlite.org/vfs.html and https://www.sqlite.org/c3ref/io_methods.html for the structures.
"""

from __future__ import annotations

import _sqlite3
import contextlib
import ctypes
import errno
import os
import threading
from collections.abc import Callable, Iterator
from ctypes import CFUNCTYPE, POINTER, Structure, c_char_p, c_int, c_int64, c_void_p
from dataclasses import dataclass, field
from pathlib import Path
from types import SimpleNamespace
from typing import Any, Literal

from tracker.store import record

OK, IO_ERROR, FULL = 0, 10, 13
"""SQLite's result codes: https://www.sqlite.org/rescode.html"""

What = Literal["write", "truncate", "sync", "sync folder", "delete", "replace"]


@dataclass(frozen=True, slots=True)
class Call:
    """One change of the disk.

    `data` are the bytes written at `at`; a file is truncated to `at`, or renamed to `to`; for a removal `at` is 1 when
    it must be on the disk before the call returns.
    """

    what: What
    path: str
    at: int = 0
    data: bytes = field(default=b"", repr=False)
    to: str = ""


Judge = Callable[[Call], int]
"""The result of a call: OK passes it to the disk, any other code is returned by SQLite instead."""

_WRITE = CFUNCTYPE(c_int, c_void_p, c_void_p, c_int, c_int64)
_TRUNCATE = CFUNCTYPE(c_int, c_void_p, c_int64)
_SYNC = CFUNCTYPE(c_int, c_void_p, c_int)
_CLOSE = CFUNCTYPE(c_int, c_void_p)
_OPEN = CFUNCTYPE(c_int, c_void_p, c_void_p, c_void_p, c_int, c_void_p)
_DELETE = CFUNCTYPE(c_int, c_void_p, c_void_p, c_int)
# Names are passed on as pointers, because SQLite reads beyond their end, and again later.


class _Methods(Structure):
    _fields_ = [
        ("version", c_int),
        ("close", _CLOSE),
        ("read", c_void_p),
        ("write", _WRITE),
        ("truncate", _TRUNCATE),
        ("sync", _SYNC),
        *[(f"other{each}", c_void_p) for each in range(13)],
    ]


class _File(Structure):
    _fields_ = [("methods", POINTER(_Methods))]


class _Vfs(Structure):
    _fields_ = [
        ("version", c_int),
        ("file_size", c_int),
        ("longest_path", c_int),
        ("next", c_void_p),
        ("name", c_char_p),
        ("data", c_void_p),
        ("open", _OPEN),
        ("delete", _DELETE),
        *[(f"other{each}", c_void_p) for each in range(13)],
    ]


def _library() -> Any:
    """The SQLite that Python's `sqlite3` uses, found through its extension module."""
    library: Any = ctypes.CDLL(_sqlite3.__file__)
    try:
        library.sqlite3_vfs_find.restype = POINTER(_Vfs)
    except AttributeError:
        raise RuntimeError("This Python hides its SQLite: faults can't be put under it.") from None
    library.sqlite3_vfs_find.argtypes = [c_char_p]
    library.sqlite3_vfs_register.argtypes = [POINTER(_Vfs), c_int]
    library.sqlite3_vfs_unregister.argtypes = [POINTER(_Vfs)]
    return library


class _Layer:
    """The VFS itself. What it passes to C is kept alive as long as it exists."""

    def __init__(self, library: Any, judge: Judge) -> None:
        self._under = library.sqlite3_vfs_find(None)
        self._judge = judge
        self._paths: dict[int, str] = {}
        self._methods: dict[int, _Methods] = {}
        self.vfs = _Vfs()
        ctypes.memmove(ctypes.byref(self.vfs), self._under, ctypes.sizeof(_Vfs))
        self.vfs.name = b"kerfcard-faults"
        self.vfs.open, self.vfs.delete = _OPEN(self._open), _DELETE(self._delete)

    def _open(self, _vfs: int, name: int | None, file: int, flags: int, out: int) -> int:
        code = int(self._under.contents.open(ctypes.addressof(self._under.contents), name, file, flags, out))
        opened = ctypes.cast(file, POINTER(_File)).contents
        if code == OK and opened.methods and name is not None:
            self._paths[file] = _text(name)
            opened.methods = ctypes.pointer(self._layered(opened.methods.contents))
        return code

    def _layered(self, under: _Methods) -> _Methods:
        """The methods of an open file with ours on top."""
        address = ctypes.addressof(under)
        if address not in self._methods:
            own = _Methods()
            ctypes.memmove(ctypes.byref(own), ctypes.byref(under), ctypes.sizeof(_Methods))

            def write(file: int, data: int, size: int, at: int) -> int:
                call = Call("write", self._paths[file], at, ctypes.string_at(data, size))
                return self._judge(call) or int(under.write(file, data, size, at))

            def truncate(file: int, size: int) -> int:
                return self._judge(Call("truncate", self._paths[file], size)) or int(under.truncate(file, size))

            def sync(file: int, flags: int) -> int:
                return self._judge(Call("sync", self._paths[file])) or int(under.sync(file, flags))

            own.write, own.truncate, own.sync = _WRITE(write), _TRUNCATE(truncate), _SYNC(sync)
            self._methods[address] = own
        return self._methods[address]

    def _delete(self, _vfs: int, name: int, sync: int) -> int:
        call = Call("delete", _text(name), sync)
        return self._judge(call) or int(self._under.contents.delete(ctypes.addressof(self._under.contents), name, sync))


def _text(name: int) -> str:
    return os.fsdecode(ctypes.string_at(name))


class _AtOnce(threading.Thread):
    """A thread that has ended when `start` returns."""

    def start(self) -> None:
        self.run()

    def join(self, timeout: float | None = None) -> None:
        pass


@contextlib.contextmanager
def disk(judge: Judge) -> Iterator[None]:
    """While this is active, every change that a newly opened database makes to the disk asks `judge` first.

    So does every sync or rename by Python code (a backup). Close the databases before it ends. Backups are made
    synchronously and not in a thread, because their calls come back into Python while they hold the record's mutex, and
    a thread that waits for that mutex may hold Python's own lock. No other disk calls Python.
    """
    library = _library()
    layer = _Layer(library, judge)
    library.sqlite3_vfs_register(ctypes.byref(layer.vfs), 1)
    fsync, replace, rename = os.fsync, os.replace, os.rename

    def judged_fsync(fd: Any) -> None:
        path = Path(f"/proc/self/fd/{fd}").readlink()
        _raise(judge(Call("sync folder" if path.is_dir() else "sync", str(path))))
        fsync(fd)

    def judged(move: Any) -> Any:
        def moved(source: Any, target: Any, **more: Any) -> None:
            _raise(judge(Call("replace", str(Path(source).absolute()), to=str(Path(target).absolute()))))
            move(source, target, **more)

        return moved

    os.fsync, os.replace, os.rename = judged_fsync, judged(replace), judged(rename)
    record.threading = SimpleNamespace(Thread=_AtOnce)  # type: ignore[attr-defined,assignment]
    try:
        yield
    finally:
        record.threading = threading  # type: ignore[attr-defined]
        os.fsync, os.replace, os.rename = fsync, replace, rename
        library.sqlite3_vfs_unregister(ctypes.byref(layer.vfs))


def _raise(code: int) -> None:
    if code:
        number = errno.ENOSPC if code == FULL else errno.EIO
        raise OSError(number, os.strerror(number))
