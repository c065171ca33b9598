"""How one gets to the table: a code of six letters for the room, tickets for one seat, and few wrong guesses."""

from __future__ import annotations

import hmac
import secrets
import time
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, field

from tastevocab.web.guard import Refused
from tastevocab.web.tokens import digest, new_token

LETTERS = "BCDFGHJKMNPQRTVWXY"
"""No vowels (no words come about), and nothing that looks like a figure or another letter."""
LENGTH = 6
WINDOW = 600.0
WRONG_EACH, WRONG_ALL = 8, 60
"""Wrong codes in ten minutes from one address, and from all: 18^6 codes at 60 in ten minutes last for a thousand
years."""
TICKET_LASTS = 900.0


def new_code() -> str:
    """Six letters to read out and type."""
    return "".join(secrets.choice(LETTERS) for _ in range(LENGTH))


def plain(given: str) -> str:
    """A code as typed, without blanks and bars, in capitals."""
    return "".join(c for c in given.upper() if c.isalnum())


@dataclass(slots=True)
class Entrance:
    """The code of a table, the tickets given out, and the wrong codes of the last ten minutes (`clock` in seconds)."""

    code: str
    clock: Callable[[], float] = time.monotonic
    wrong: deque[tuple[float, str]] = field(default_factory=deque)
    tickets: dict[str, tuple[str, float]] = field(default_factory=dict)

    def check(self, given: str, address: str) -> None:
        """Raises `Refused` unless `given` is the code: 403 if it is wrong, 429 after too many wrong ones."""
        if self.wrong_lately(address) >= WRONG_EACH or self.wrong_lately() >= WRONG_ALL:
            raise Refused(429, "too many wrong codes: wait ten minutes, or ask the leader for a link of your own")
        if not hmac.compare_digest(plain(given).encode(), self.code.encode()):
            self.wrong.append((self.clock(), address))
            raise Refused(403, "that is not the code of this table")

    def wrong_lately(self, address: str | None = None) -> int:
        """How many wrong codes came in the last ten minutes, from one address or from all."""
        while self.wrong and self.wrong[0][0] < self.clock() - WINDOW:
            self.wrong.popleft()
        return len(self.wrong) if address is None else sum(at == address for _, at in self.wrong)

    def renew(self) -> str:
        """A new code; the wrong guesses at the old one are forgotten."""
        self.wrong.clear()
        self.code = new_code()
        return self.code

    def ticket(self, seat: str, lasts: float = TICKET_LASTS) -> str:
        """A ticket that lets one browser take a seat, once, for so many seconds (a quarter of an hour)."""
        made = new_token()
        self.tickets[digest(made)] = (seat, self.clock() + lasts)
        return made

    def redeem(self, ticket: str, seat: str) -> bool:
        """Whether `ticket` opens that seat; it is used up."""
        self.tickets = {d: t for d, t in self.tickets.items() if t[1] > self.clock()}
        held = self.tickets.get(digest(ticket))
        if held is None or held[0] != seat:
            return False
        del self.tickets[digest(ticket)]
        return True
