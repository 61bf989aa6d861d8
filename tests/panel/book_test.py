"""Shows in a book are listed, found by typing, and shown output by output; a long book as well."""

import pathlib
import sqlite3
import sys

from window import Window, check, enter_own_folder

BOOK = lambda state: state["Book"]

CUTS = [(2631.0, 8.0, -6.0), (441.0, 4.3, -4.5)]
SHOWS = [  # key, venue, name, day, outputs with the frequencies that rang
    ("a" * 32, "Larkfield Hall", "Winter concert", "2026-01-17", [("wedge 1", [2631.4, 440.2]), ("mains", [315.0])]),
    ("b" * 32, "Larkfield Hall", "Spring revue", "2026-04-02", [("wedge 1", [2618.0])]),
    ("c" * 32, "Mill Green Barn", "Opening night", "2026-03-09", [("side fill", [812.5, 1604.0, 95.1])]),
]


def add_show(book, key, venue, name, day, outputs):
    started = day + "T18:30:00.000+01:00"
    book.execute("INSERT OR IGNORE INTO venues(name) VALUES(?)", (venue,))
    show = book.execute(
        "INSERT INTO shows(key, venue_id, name, started_at, started_day, last_check, note, output_count, round_count,"
        " won_db) VALUES(?, (SELECT id FROM venues WHERE name = ?), ?, ?, julianday(?), '', '', ?, ?, 4.5)",
        (key, venue, name, started, started, len(outputs), sum(len(rings) for _, rings in outputs))).lastrowid
    book.execute("INSERT INTO show_words(show_id, folded) VALUES(?, ?)", (show, f"{venue} {name}".lower()))
    for place, (output, rings) in enumerate(outputs):
        identity = book.execute(
            "INSERT INTO outputs(show_id, place, name, microphone, position, target, start_at_db, back_off_db, advice,"
            " note) VALUES(?, ?, ?, 'vocal, hypercardioid', 'front, left', 'parametric', -8.0, 6.0,"
            " 'the last round won less than 1 dB', '')", (show, place, output)).lastrowid
        for row, ring_hz in enumerate(rings):
            centre_hz, q, depth_db = (ring_hz, 8.0, -6.0)
            book.execute(
                "INSERT INTO rounds(output_id, place, flagged_at, frequency_hz, frequency_sd_hz, growth_db_per_s,"
                " peak_dbfs, confidence, is_proposed, is_cut, cut_centre_hz, cut_q, cut_depth_db, rang_at_db,"
                " returned_at_db, has_faded, note) VALUES(?, ?, ?, ?, 0.3, 31.0, -9.0, 0.98, 0, 1, ?, ?, ?, ?, ?, 1, '')",
                (identity, row, started, ring_hz, centre_hz, q, depth_db, -8.0 + row, -7.0 + row))
            book.execute("INSERT INTO cuts(output_id, place, centre_hz, q, depth_db) VALUES(?, ?, ?, ?, ?)",
                         (identity, row, centre_hz, q, depth_db))


def fill(path, shows):
    book = sqlite3.connect(path)
    with book:
        for show in shows:
            add_show(book, *show)
    book.close()


def find(window, words, count):
    window.press("f")
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
window.picture("book-show")
window.press("s")
written = window.wait_for(lambda state: BOOK(state)["sheet"], 20, "the sheet")
page = pathlib.Path(BOOK(written)["sheet"]).read_text(encoding="utf-8")
check("Larkfield Hall" in page and "wedge 1" in page and "mains" in page, "the sheet is that of the show")
window.picture("book-sheet")
window.press("Right")
window.wait_for(lambda state: BOOK(state)["output"] == "mains" and BOOK(state)["rounds"] == 1, 10, "its other output")

find(window, "brew 1", 0)  # a digit is no pane while it is typed
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
