"""A failing line: forwards TCP in a separate process and gives each connection a fate.

fin and rst end it; hole takes everything and answers nothing; half closes one direction; drop, dup and flip lose,
repeat and change bytes; stall waits, then ends; slow dribbles. The place in a connection is random, often within its
first bytes.
"""

from __future__ import annotations

import asyncio
import contextlib
import os
import random
import signal
import socket
import struct
import subprocess
import sys
import threading
import time
from collections import Counter
from types import TracebackType

from together.cluster import free_port

FATES = ("fin", "rst", "hole", "half", "drop", "dup", "flip", "slow", "stall")
MEAN_BYTES = 9000.0


class BadLine:
    """`with BadLine(port, seed) as line:` forwards `line.port`, counts in `line.fates`; `mend()` ends the faults."""

    def __init__(self, target: int, seed: int, fates: tuple[str, ...] = FATES, mean: float = MEAN_BYTES) -> None:
        self.port, self.fates = free_port(), Counter[str]()
        arguments = [str(self.port), str(target), str(seed), str(mean), *fates]
        self._process = subprocess.Popen(
            ["setpriv", "--pdeathsig", "KILL", sys.executable, "-m", "together.line", *arguments],
            stdout=subprocess.PIPE,
            text=True,
        )
        assert self._process.stdout is not None
        assert self._process.stdout.readline() == "ready\n"
        threading.Thread(target=self._count, daemon=True).start()

    def _count(self) -> None:
        assert self._process.stdout is not None
        for word in self._process.stdout:
            self.fates[word.strip()] += 1

    def mend(self) -> None:
        """From now on new connections have no faults."""
        self._process.send_signal(signal.SIGUSR1)

    def __enter__(self) -> BadLine:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._process.kill()
        self._process.wait()


class _Forwarding:
    def __init__(self, target: int, seed: int, mean: float, fates: list[str]) -> None:
        self._target, self._mean, self._fates = target, mean, fates
        self.chance = random.Random(seed)
        self.whole = False
        self._served: set[object] = set()
        """Kept until they end: the loop itself holds its tasks weakly."""

    async def serve(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        self._served.add(asyncio.current_task())
        try:
            there, back = await asyncio.open_connection("127.0.0.1", self._target)
        except OSError:
            writer.close()
            return
        one = _Connection(self, "whole" if self.whole else self.chance.choice(self._fates), (writer, back), self._mean)
        await asyncio.gather(one.pump(reader, back, 0), one.pump(there, writer, 1))
        one.end()


class _Connection:
    def __init__(self, forwarding: _Forwarding, fate: str, ends: tuple[asyncio.StreamWriter, ...], mean: float) -> None:
        chance = forwarding.chance
        self._of, self._fate, self._ends, self._chance = forwarding, fate, ends, chance
        self._side = chance.randrange(2)
        self._left = int(chance.expovariate(1 / (mean if chance.random() < 0.8 else 400)))
        self._mean = mean
        self._over = False
        self._swallows = False
        self._until = 0.0

    def end(self, hard: bool = False) -> None:
        self._over = True
        for writer in self._ends:
            with contextlib.suppress(Exception):
                line = writer.get_extra_info("socket")
                if hard and line is not None:
                    line.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
                    writer.transport.abort()
                else:
                    writer.close()

    async def pump(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter, side: int) -> None:
        with contextlib.suppress(OSError, RuntimeError, asyncio.CancelledError):
            while not self._over and (data := await reader.read(4096)):
                if self._swallows:
                    continue
                if self._fate not in ("whole", "spent", "dribble") and side == self._side:
                    self._left -= len(data)
                    if self._left < 0:
                        data = await self._befall(data, writer)
                if self._fate == "dribble":
                    if time.monotonic() > self._until or self._of.whole:
                        self.end(hard=True)
                        return
                    for at in range(0, len(data), 97):
                        writer.write(data[at : at + 97])
                        await writer.drain()
                        await asyncio.sleep(0.002)
                    continue
                writer.write(data)
                await writer.drain()
        if not self._swallows:
            self.end()

    async def _befall(self, data: bytes, writer: asyncio.StreamWriter) -> bytes:
        """What goes wrong within these bytes; those that go on."""
        at, fate, chance = max(0, len(data) + self._left), self._fate, self._chance
        print(fate, flush=True)
        self._fate = "spent"
        if fate in ("fin", "rst", "half", "hole"):
            writer.write(data[:at])
            await writer.drain()
            if fate == "half":
                writer.write_eof()
            if fate in ("half", "hole"):
                self._swallows = True
            else:
                self.end(hard=fate == "rst")
            return b""
        if fate == "drop":
            return data[:at] + data[at + 1 + chance.randrange(200) :]
        if fate == "dup":
            return data[:at] + data[max(0, at - chance.randrange(1, 300)) : at] + data[at:]
        if fate == "flip":
            turned = min(at, len(data) - 1)
            return data[:turned] + bytes([data[turned] ^ (1 << chance.randrange(8))]) + data[turned + 1 :]
        if fate == "stall":
            await asyncio.sleep(chance.uniform(0.5, 4))
            self._fate, self._left = "fin", int(chance.expovariate(1 / self._mean))
        else:
            self._fate, self._until = "dribble", time.monotonic() + chance.uniform(2, 6)
        return data


async def _run(port: int, target: int, seed: int, mean: float, fates: list[str]) -> None:
    forwarding = _Forwarding(target, seed, mean, fates)

    def mend() -> None:
        forwarding.whole = True

    asyncio.get_running_loop().add_signal_handler(signal.SIGUSR1, mend)
    server = await asyncio.start_server(forwarding.serve, "127.0.0.1", port)
    print("ready", flush=True)
    async with server:
        await server.serve_forever()


if __name__ == "__main__":
    if os.name == "posix":
        listen, to, begun, size, *given = sys.argv[1:]
        asyncio.run(_run(int(listen), int(to), int(begun), float(size), given))
