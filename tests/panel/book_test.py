"""Shows in a book are listed, found by typing, and shown output by output; a long book as well."""

import json
import pathlib
import subprocess
import sys

from window import Window, check, enter_own_folder

BOOK = lambda state: state["Book"]

SHOWS = [  # key, venue, name, day, outputs with the frequencies that rang
    ("a" * 32, "Larkfield Hall", "Winter concert", "2026-01-17", [("wedge 1", [2631.4, 440.2]), ("mains", [315.0])]),
    ("b" * 32, "Larkfield Hall", "Spring revue", "2026-04-02", [("wedge 1", [2618.0])]),
    ("c" * 32, "Mill Green Barn", "Opening night", "2026-03-09", [("side fill", [812.5, 1604.0, 95.1])]),
]


def round_of(row, ring_hz, started):
    """Rings 1 dB later than the one before it, and is cut at its own frequency."""
    return {"ring": {"flagged_at": started, "frequency_hz": ring_hz, "frequency_sd_hz": 0.3, "growth_db_per_s": 31.0,
                     "peak_dbfs": -9.0, "confidence": 0.98},
            "proposed": None, "cut": cut_at(ring_hz), "rang_at_db": -8.0 + row, "returned_at_db": -7.0 + row,
            "has_faded": True, "note": ""}


def cut_at(ring_hz):
    return {"centre_hz": ring_hz, "q": 8.0, "depth_db": -6.0}


def line_of(key, venue, name, day, outputs):
    started = day + "T18:30:00.000+01:00"
    return json.dumps({
        "schema": "brink/book/1", "key": key, "venue": venue, "name": name, "started_at": started,
        "outputs": [{"name": output, "microphone": "vocal, hypercardioid", "position": "front, left",
                     "target": "parametric", "start_at_db": -8.0, "back_off_db": 6.0,
                     "advice": "the last round won less than 1 dB",
                     "rounds": [round_of(row, ring_hz, started) for row, ring_hz in enumerate(rings)],
                     "cuts": [cut_at(ring_hz) for ring_hz in rings]} for output, rings in outputs]})


def fill(path, shows):
    lines = "\n".join(line_of(*show) for show in shows)
    subprocess.run([brink, "book", "import", "-", "--book", str(path)], input=lines, text=True, check=True,
                   capture_output=True)


def find(window, words, count):
    window.press("slash")
    window.type(words)
    window.press("Return")
    return window.wait_for(lambda state: BOOK(state)["searched"] == words and BOOK(state)["shows"] == count, 10,
                           f"{count} shows with '{words}'")


brink, pictures = (str(pathlib.Path(argument).resolve()) for argument in sys.argv[1:3])
enter_own_folder()
window = Window(brink, pictures=pictures, book="book.sqlite")
window.press("6")
window.wait_for(lambda state: state["pane"] == "Book", 5, "the Book pane")
window.picture("book-empty")
window.close_program()
fill(window.book, SHOWS)

window.open()
window.press("6")
first = window.wait_for(lambda state: BOOK(state)["shown"], 20, "the newest show")
check(BOOK(first)["shows"] == 3, "all shows are listed")
check(BOOK(first)["show"] == "Spring revue", "the newest comes first")
check(BOOK(first)["visit_before"] == "a" * 32, "and the visit before it is known")
window.picture("book-newest")
window.press("c")
window.wait_for(lambda state: BOOK(state)["compares"], 5, "the comparison")
window.picture("book-compared")
window.press("c")
window.wait_for(lambda state: not BOOK(state)["compares"], 5, "the rounds again")
window.press("Down", times=2)
last = window.wait_for(lambda state: BOOK(state).get("show") == "Winter concert", 10, "the oldest show")
check((BOOK(last)["output"], BOOK(last)["rounds"], BOOK(last)["cuts"]) == ("wedge 1", 2, 2), "its first output")
check(BOOK(last)["visit_before"] == "", "there was no visit before")
check(BOOK(last)["last_round"] == "came back 1.0 dB later", "what became of its last round")
window.picture("book-show")
window.press("s")
written = window.wait_for(lambda state: BOOK(state)["sheet"], 20, "the sheet")
page = pathlib.Path(BOOK(written)["sheet"]).read_text(encoding="utf-8")
check("Larkfield Hall" in page and "wedge 1" in page and "mains" in page, "the sheet is that of the show")
window.picture("book-sheet")
window.press("Right")
window.wait_for(lambda state: BOOK(state)["output"] == "mains" and BOOK(state)["rounds"] == 1, 10, "its other output")

find(window, "brewery 1", 0)  # a digit is no pane while it is typed
find(window, "barn", 1)
window.wait_for(lambda state: BOOK(state).get("show") == "Opening night", 10, "what was found")
window.picture("book-found")
find(window, "", 3)
window.close_program()

fill(window.book, [(f"{number:032x}", f"Hall {number % 40:02}", f"Evening {number:04}",
                    f"{2016 + number // 200}-{1 + number % 12:02}-{1 + number % 28:02}",
                    [("wedge 1", [400.0 + number, 1600.0 + number])]) for number in range(2000)])
window.open()
window.press("6")
window.wait_for(lambda state: BOOK(state)["shows"] == 2003, 20, "the long list")
window.press("End")
window.wait_for(lambda state: BOOK(state)["row"] == 2002 and BOOK(state)["shown"], 10, "its end")
window.press("Prior")
window.picture("book-long")
find(window, "evening 0123", 1)

for key in ("plus", "minus"):
    window.press(key)
    drawn_s = window.state()["stream_s"]
    window.wait_for(lambda state: state["stream_s"] > drawn_s + 0.5, 10, "the window to go on after " + key)
    window.picture("book-letters-" + key)
