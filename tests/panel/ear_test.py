"""Practise by keys alone, from the first exercise to the stored score, and blind at the live stage;
a killed window loses no guess that it said was kept."""

import math
import pathlib
import sqlite3
import sys

from window import Window, check, enter_own_folder

EAR = lambda state: state["Ear"]
LIVE = lambda state: state["live_guess"]


def kept_guesses(window):
    with sqlite3.connect(f"file:{window.book}?mode=ro", uri=True) as book:
        return book.execute("SELECT trainee, exercise, true_hz, guessed_hz, took_s FROM guesses ORDER BY id").fetchall()


def type_guess(window, text, guess_hz, read):
    window.press("a")
    window.type(text)
    window.press("Return")
    window.wait_for(lambda state: abs(read(state)["guess_hz"] - guess_hz) < 1e-6, 10, f"the typed guess {text}")


def practise(window):
    window.press("3")
    window.wait_for(lambda state: state["pane"] == "Ear", 5, "the Ear pane")
    window.picture("ear-first")
    window.press("n")
    window.type("Mira 1")  # a digit in a name is no other pane
    window.press("Return")
    window.wait_for(lambda state: EAR(state)["phase"] == "ready", 60, "the first exercise")
    check(window.state()["pane"] == "Ear", "what is typed is no action")
    named = EAR(window.state())["trainee"]
    check(named == "Mira 1", f"the name was taken as typed, not as \"{named}\"")
    window.picture("ear-ready")

    window.press("w")
    written = window.wait_for(lambda state: EAR(state)["file"], 20, "the exercise as a file")
    head = pathlib.Path(EAR(written)["file"]).read_bytes()[:12]
    check(head[:4] == b"RIFF" and head[8:] == b"WAVE", "it is a WAV file")
    check(EAR(written)["phase"] == "sounding", "an exercise that is there as a file can be guessed")

    # By mouse: half way between two places of the ruler lies the geometric mean of their frequencies.
    clicked_hz = []
    for x in (200, 600, 400):
        before = EAR(window.state())["guess_hz"]
        window.click(x, 240)
        moved = window.wait_for(lambda state, was=before: EAR(state)["guess_hz"] != was, 5, f"the guess to move to {x}")
        clicked_hz.append(EAR(moved)["guess_hz"])
    # A pixel of the ruler is less than 20 cents.
    check(abs(1200 * math.log2(clicked_hz[2] ** 2 / (clicked_hz[0] * clicked_hz[1]))) < 40.0, f"a log ruler: {clicked_hz}")
    check(clicked_hz[0] < clicked_hz[2] < clicked_hz[1], "higher to the right")

    type_guess(window, "2.5k", 2500.0, EAR)
    window.press("Right")
    third_up = window.wait_for(lambda state: EAR(state)["guess_hz"] > 2600.0, 5, "a third-octave up")
    # IEC 61260-1, base ten: the centre above that of 2.5 kHz.
    check(abs(EAR(third_up)["guess_hz"] - 1000.0 * 10 ** 0.5) < 0.1, "arrows go to third-octave centres")
    window.press("shift+Left")
    fine = window.wait_for(lambda state: EAR(state)["guess_hz"] < 3160.0, 5, "a finer step down")
    check(abs(EAR(fine)["guess_hz"] / EAR(third_up)["guess_hz"] - 2 ** (-20 / 1200)) < 1e-9, "finer steps are 20 cents")
    type_guess(window, "nonsense", EAR(fine)["guess_hz"], EAR)  # leaves it where it was
    window.picture("ear-guess")

    window.press("Return")
    locked = window.wait_for(lambda state: EAR(state)["phase"] == "scored", 5, "the score")
    kept = window.wait_for(lambda state: EAR(state)["is_kept"], 20, "the guess in the book")
    window.picture("ear-result")
    guesses = kept_guesses(window)
    check(len(guesses) == 1, "one guess was kept")
    trainee, exercise, true_hz, guessed_hz, took_s = guesses[0]
    check((trainee, exercise) == ("Mira 1", "pure"), "under the trainee and the exercise")
    check(true_hz == EAR(kept)["true_hz"] and guessed_hz == EAR(fine)["guess_hz"], "as it was shown")
    check(took_s > 0.0, "with its time")
    error = 1200.0 * math.log2(guessed_hz / true_hz)
    check(abs(EAR(locked)["error_cents"] - error) < 1e-6, "the error is that of the two frequencies")

    # In mid-session: a second one is locked, a third stands open.
    window.press("Return")
    window.wait_for(lambda state: EAR(state).get("number") == 2 and EAR(state)["phase"] == "ready", 60, "the second")
    window.press("w")
    window.wait_for(lambda state: EAR(state)["phase"] == "sounding", 20, "the second to be open")
    type_guess(window, "A4", 440.0, EAR)
    window.press("Return")
    window.wait_for(lambda state: EAR(state)["locked"] == 2 and EAR(state)["is_kept"], 20, "the second in the book")
    window.press("Return")
    window.wait_for(lambda state: EAR(state).get("number") == 3, 60, "the third")
    window.kill()
    guesses = kept_guesses(window)
    check(len(guesses) == 2 and abs(guesses[1][3] - 440.0) < 1e-9, "a killed window lost no locked guess")


def add_earlier_weeks(window, count):
    """Guesses of the weeks before, growing better, so that progress has something to show."""
    state = 1
    with sqlite3.connect(window.book) as book:
        for number in range(count):
            draws = []
            for _ in range(4):
                state = (state * 1103515245 + 12345) % 2 ** 31  # the C standard's example generator
                draws.append(state / 2 ** 31)
            week = number * 6 // count
            true_hz = 125.0 * 64.0 ** draws[0]
            error_cents = (draws[1] + draws[2] - 1.0) * 1400.0 * 0.7 ** week + (1200.0 if number % 17 == 0 else 0.0)
            book.execute(
                "INSERT INTO guesses(key, trainee, guessed_at, guessed_day, exercise, seed, true_hz, guessed_hz, took_s,"
                " level, left_db) VALUES(?1, 'Mira 1', ?2, julianday(?2), 'pure', 1, ?3, ?4, ?5, 2, -3.0)",
                (f"{number:032x}", f"2025-02-{3 + 7 * (week % 3):02}T20:00:00.000+01:00" if week < 3 else
                 f"2025-03-{3 + 7 * (week % 3):02}T20:00:00.000+01:00", true_hz, true_hz * 2 ** (error_cents / 1200.0),
                 3.0 + 6.0 * draws[3]))


def progress(window):
    add_earlier_weeks(window, 180)
    window.open()
    window.press("3")
    window.press("p")
    window.wait_for(lambda state: EAR(state)["progress_count"] == 182, 20, "the progress")
    check(EAR(window.state())["progress_trainee"] == "Mira 1", "the last trainee is remembered")
    window.picture("ear-progress")
    window.press("c")
    written = window.wait_for(lambda state: EAR(state)["written"].endswith(".csv"), 20, "the guesses as CSV")
    lines = pathlib.Path(EAR(written)["written"]).read_text(encoding="utf-8").splitlines()
    check(len(lines) == 183, "a head and a line for each guess")
    window.press("s")
    window.wait_for(lambda state: EAR(state)["written"].endswith(".html"), 20, "the sheet")
    window.press("p")


def guess_live(window):
    window.press("t")
    window.wait_for(lambda state: state["overlay"] != 0, 5, "the targets")
    window.press("Down", times=2)
    window.press("Return")
    window.wait_for(lambda state: EAR(state)["cuts_on"] == "third-octave", 10, "exercises for the new target")
    # The simulated stage makes no sound: a guess at it would be scored for what nobody heard.
    window.press("b")
    window.wait_for(lambda state: "makes no sound" in EAR(state)["blind_fault"], 5, "the word that there is no sound to guess by")
    check(window.state()["pane"] == "Ear", "no blind guessing without a sound")
    window.picture("ear-no-sound")
    kept = len(kept_guesses(window))
    window.press("1")
    window.press("h")
    window.wait_for(lambda state: state["pane"] == "Listen" and state["hides_answers"], 5, "the blind live stage")
    check(LIVE(window.state())["title"] == "No sound to guess by", "the ruler says so too")
    window.press("Up", times=13, pause_s=0.2)
    window.wait_for(lambda state: LIVE(state)["phase"] == "sounding", 90, "a ring")
    type_guess(window, "800", 800.0, LIVE)
    window.press("Return")
    window.picture("ear-live-stage")
    check(LIVE(window.state())["phase"] == "sounding" and len(kept_guesses(window)) == kept, "nothing is scored, nothing kept")
    # The same ruler stands in Ring out, and its arrows move no fader there.
    window.press("2")
    window.wait_for(lambda state: state["pane"] == "Ring out", 5, "the Ring out pane")
    before = window.state()
    window.press("Right")
    after = window.wait_for(lambda state: LIVE(state)["guess_hz"] > LIVE(before)["guess_hz"], 5, "the guess to move")
    check(after["fader_db"] == before["fader_db"], "the fader stays")
    window.picture("ear-live-ring-out")
    window.press("h")
    window.wait_for(lambda state: not state["hides_answers"], 5, "the answers again")


def another_trainee(window):
    """The one who was named last guesses on after a restart, not the one who guessed last."""
    window.press("3")
    window.wait_for(lambda state: state["pane"] == "Ear", 5, "the Ear pane")
    window.press("n")
    window.type("Noor")
    window.press("Return")
    window.wait_for(lambda state: EAR(state)["trainee"] == "Noor" and EAR(state)["phase"] == "ready", 60, "the other's exercise")
    window.close_program()
    window.open()
    window.press("3")
    window.wait_for(lambda state: EAR(state)["trainee"] == "Noor", 60, "the name to be remembered")
    check(kept_guesses(window)[-1][0] == "Mira 1", "the newest guess is somebody else's")


brink, pictures = (str(pathlib.Path(argument).resolve()) for argument in sys.argv[1:3])
enter_own_folder()
window = Window(brink, pictures=pictures, book="book.sqlite")
practise(window)
progress(window)
guess_live(window)
another_trainee(window)
