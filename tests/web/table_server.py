"""A live table as a process of its own, to be killed: `python table_server.py FOLDER PORT GUESTS MODE`.

MODE is `silent` (nothing is read), `reads`, or `records`: as `reads`, and every byte sent is written to FOLDER/sent.
"""

from __future__ import annotations

import sys
from pathlib import Path

from table_toys import Recorder, Silent, write_session

from tastevocab.web.guard import Limits
from tastevocab.web.serve import open_door, serve
from tastevocab.web.table.app import make_app
from tastevocab.web.table.opening import Means, open_table
from tastevocab.web.table.setting import Wanted


def main(folder: Path, port: int, guests: int, mode: str) -> None:
    session = write_session(folder)
    door = open_door(port)
    work = Means(reader=Silent(), counter=Silent()) if mode == "silent" else Means()
    opened = open_table(session, folder / "out", Wanted(guests=guests), door, work)
    code = opened.live.entrance
    app = make_app(opened.live)
    if mode == "records":
        (folder / "sent").mkdir(exist_ok=True)
        app = Recorder(app, folder / "sent")

    def ready() -> None:
        print(f"ready {door.port} {code.code} {opened.enter.rsplit('/', 1)[1]}", flush=True)

    try:
        # Every phone of these tests has this machine's address: one address gets the rate of all.
        limits = Limits(rate=5000, burst=5000)
        serve(app, door, limits=limits, ready=ready, closing=opened.live.lines.close)
    finally:
        opened.store.close()


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3]), sys.argv[4])
