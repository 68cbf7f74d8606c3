"""The phones of a world: the app's own outbox, rounds and fold, run in Node (harness.ts)."""

import asyncio
import json
from pathlib import Path
from typing import Any

from tests.app.node import NODE, PWA, install
from tests.faults.site import Broken

LINE = 2**29
"""Bytes a line may have: the states of a whole farm come in one."""


class Handsets:
    """One Node process with any number of phones; start with `await Handsets.begin(base)`."""

    def __init__(self, process: asyncio.subprocess.Process) -> None:
        self.process = process
        self._lock = asyncio.Lock()

    @classmethod
    async def begin(cls, base: str) -> "Handsets":
        install()
        process = await asyncio.create_subprocess_exec(
            str(NODE), str(PWA / "src" / "sync" / "harness.ts"), base, cwd=PWA, limit=LINE,
            stdin=asyncio.subprocess.PIPE, stdout=asyncio.subprocess.PIPE,
        )  # fmt: skip
        return cls(process)

    async def ask(self, order: dict[str, Any]) -> dict[str, Any]:
        """One command, one answer, whatever it says."""
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        async with self._lock:
            self.process.stdin.write(json.dumps(order).encode() + b"\n")
            try:
                line = await self.process.stdout.readline()
            except asyncio.CancelledError:
                # Its answer would be taken for that of the next command.
                self.process.kill()
                raise
        if not line:
            raise Broken(f"The harness ended at {order}")
        return dict(json.loads(line))

    async def do(self, order: str, phone: str, **more: Any) -> dict[str, Any]:
        """One command that must go well."""
        answer = await self.ask({"do": order, "phone": phone, **more})
        if not answer["ok"]:
            raise Broken(f"{order} on {phone}: {answer}")
        return answer

    @property
    def alive(self) -> bool:
        return self.process.returncode is None

    async def close(self) -> None:
        assert self.process.stdin is not None
        self.process.stdin.close()
        await self.process.wait()


class Phone:
    """One phone. `shown` holds every record that it has said is saved, as it was made."""

    def __init__(self, handsets: Handsets, name: str, device: str) -> None:
        self.handsets, self.name, self.device = handsets, name, device
        self.shown: list[dict[str, Any]] = []

    async def do(self, order: str, **more: Any) -> dict[str, Any]:
        return await self.handsets.do(order, self.name, **more)

    async def save(self, *drafts: dict[str, Any]) -> list[dict[str, Any]]:
        """Save drafts, all or none. What comes back has been shown as saved."""
        made: list[dict[str, Any]] = (await self.do("save", drafts=list(drafts)))["records"]
        self.shown += made
        return made

    async def retract(self, record: str) -> None:
        self.shown += (await self.do("retract", records=[record]))["records"]

    async def drain(self) -> str | None:
        """One round; why it stopped, if it did."""
        paused: str | None = (await self.do("drain"))["paused"]
        return paused

    async def outbox(self) -> list[dict[str, Any]]:
        waiting: list[dict[str, Any]] = (await self.do("outbox"))["waiting"]
        return waiting

    async def states(self) -> dict[str, Any]:
        return {state["id"]: state for state in (await self.do("states"))["states"]}

    async def use(self, script: Path, name: str, **more: Any) -> dict[str, Any]:
        """Call a function of a script of these tests with the handset."""
        return await self.do("use", module=str(script), name=name, **more)


async def together(*work: tuple[Phone, str]) -> list[dict[str, Any]]:
    """The same moment on several phones; each pair is a phone and a command without arguments."""
    commands = [{"do": order, "phone": phone.name} for phone, order in work]
    answer = await work[0][0].handsets.do("together", work[0][0].name, commands=commands)
    return list(answer["results"])
