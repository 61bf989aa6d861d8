"""Runs every command that the pages show, and gives every snippet to what it is for.

    commands_test.py BRINK SOURCE_DIR BUILD_DIR WORK_DIR

A command that needs a sound card or a screen is run without one: it must be refused for that and for nothing else, so its options and
files are right. A block that is neither a command nor one of the snippets and illustrations named here fails.
"""

import json
import os
import pathlib
import re
import shutil
import subprocess
import sys

from pages import blocks, commands, inline_commands, pages
from workplace import Workplace

# Refusals that only mean "there is no sound card" or "no screen" here.
NO_DEVICE = re.compile(r"no (sound )?(input|output|device)|there is no|none of the|cannot be opened|no display|DISPLAY|screen", re.IGNORECASE)
LIVE = re.compile(r"brink (listen(?!.*--stdin)|calibrate|panel|ear(?!.*--silent)|sweep.*--output \")")

# What stands in a block without being a command: an illustration, or a file that the test gives to brink somewhere else.
ILLUSTRATIONS = {
    "DEVELOPERS.md": ["cli, panel ->"],
    "README.md": ["test-signals/wedge.flac", "1 ring.", " 1.   0:05.3"],  # compared with the real output below
    "docs/console-link.md": ["name = Lantern 24", "Lantern 24, wedge 1: 4", "20:14:03"],
    "docs/console-link.md": ["name = Lantern 24, wedge 1", "Lantern 24, wedge 1: 4 bands", "20:14:03.120"],
    "docs/library.md": ["find_package("],
    "docs/method.md": ["x = v + path * y", "m = p + h * u", "potential ="],
    "docs/reports.md": ["5.344700"],
    "docs/stage.md": ["clip wedge"],
    "docs/taps.md": ["2413 Hz", "3 vocal left"],
    "docs/targets.md": ["# The monitor desk"],
}


class Documents:
    def __init__(self, brink, source, build, work):
        self.source, self.build = pathlib.Path(source), build
        shutil.rmtree(work, ignore_errors=True)
        self.work = pathlib.Path(work)
        self.filled = Workplace(self.work / "filled")
        self.filled.fill(brink, source)
        self.place = self.filled.copy(self.work / "snippets")
        self.faults, self.counts = [], {"run": 0, "refused for want of a device": 0, "looked at": 0, "snippets": 0}
        self.helps = {}
        with open(self.source / "CMakePresets.json", encoding="utf-8") as file:
            self.presets = json.load(file)
        self.targets = subprocess.run(["ninja", "-C", build, "-t", "targets", "all"], capture_output=True, text=True, check=False).stdout

    def fault(self, where, what):
        self.faults.append(f"{where}: {what}")

    # -- commands that are not brink's -------------------------------------------------------------

    def look_at(self, where, command):
        """Those that build and install: what they name must be there. Building again would take hours."""
        self.counts["looked at"] += 1
        preset = re.search(r"cmake --workflow --preset ([\w-]+)", command)
        target = re.search(r"cmake --build --preset ([\w-]+) -t ([\w-]+)", command)
        tests = re.search(r"ctest --preset ([\w-]+)", command)
        if preset:
            if preset[1] not in [one["name"] for one in self.presets["workflowPresets"]]:
                self.fault(where, f"there is no workflow '{preset[1]}'")
        elif target:
            if target[1] not in [one["name"] for one in self.presets["buildPresets"]]:
                self.fault(where, f"there is no build preset '{target[1]}'")
            elif self.targets and f"\n{target[2]}: phony" not in self.targets:
                self.fault(where, f"there is no target '{target[2]}'")
        elif tests:
            if tests[1] not in [one["name"] for one in self.presets["testPresets"]]:
                self.fault(where, f"there is no test preset '{tests[1]}'")
        elif command.startswith("third_party/install"):
            script = self.source / "third_party/install"
            word = command.removeprefix("third_party/install").strip()
            if not os.access(script, os.X_OK) or word not in script.read_text(encoding="utf-8"):
                self.fault(where, f"third_party/install does not know '{word}'")
        elif command.startswith(("cmake -B build/library", "cmake --build build/library", "cmake --install build/library")):
            # The test `library: built by itself` runs these.
            if "BRINK_ONLY_DETECTOR" not in (self.source / "tests/library/by_itself_test.py").read_text(encoding="utf-8"):
                self.fault(where, "no test builds the library by itself any more")
        elif command.startswith("sbatch "):
            # tests/archive runs this with a real Slurm.
            script = re.search(r"examples/\S+", command)
            if not script or not os.access(self.source / script[0], os.X_OK):
                self.fault(where, "the script is not there")
        else:
            self.fault(where, f"no rule says how this is tested: {command}")

    # -- brink's -----------------------------------------------------------------------------------

    def run(self, where, command):
        done = self.place.run(command)
        if done.returncode == 0:
            self.counts["run"] += 1
        elif LIVE.search(command) and done.returncode == 2 and NO_DEVICE.search(done.stderr) and "--help" not in done.stderr:
            self.counts["refused for want of a device"] += 1
        else:
            self.fault(where, f"{command}\n    status {done.returncode}: {(done.stderr or done.stdout).strip()[-400:]}")

    def options_are_known(self, where, command):
        """A command in running text: its name, and each option that it has, must be in the help."""
        words = []
        for word in command.split()[1:]:
            if not re.fullmatch(r"[a-z][a-z-]*", word):
                break
            words.append(word)
        while words:
            key = " ".join(words)
            if key not in self.helps:
                done = self.place.run(f"brink {key} --help")
                self.helps[key] = done.stdout if done.returncode == 0 and f"Usage: brink {key}" in done.stdout else None
            if self.helps[key] is not None:
                break
            words.pop()
        if not words:
            if command.split()[1] not in ("capture-child", "play-child"):  # for developers; they have no help
                self.fault(where, f"no such command: {command}")
            return
        for option in re.findall(r"(?<![\w-])--[a-z][a-z-]+", command):
            if not re.search(rf"{option}\b", self.helps[" ".join(words)]):
                self.fault(where, f"'brink {' '.join(words)}' has no {option}")
        self.counts["looked at"] += 1

    def command(self, where, command):
        for part in command.split(" && "):
            if part.startswith("parallel ") and shutil.which("parallel") is None:
                print(f"{where}: not run, GNU parallel is not here; xargs makes what the page goes on with")
                self.run(where, "xargs -d '\\n' -a recordings.txt -n 1 examples/archive/analyse-once results")
            elif re.match(r"(brink|arecord|find|wc|cat|grep|parallel)\b", part):
                self.run(where, part)
            else:
                self.look_at(where, part)

    # -- snippets ----------------------------------------------------------------------------------

    def snippets(self):
        """What the pages show beside commands is taken, or is what brink really says."""
        place = self.place
        place.must("brink plan --rings 1000 --target monitor-desk.txt")
        place.must("brink analyse --names names.txt show.wav")
        read = {name: (self.source / name).read_text(encoding="utf-8") for name in ILLUSTRATIONS}
        link = next(lines for _, lines in blocks(read["docs/console-link.md"]) if lines[0].startswith("name = Lantern 24"))
        (place.folder / "lantern.txt").write_text("\n".join(link) + "\n")
        place.must("brink plan --rings 1000 --target lantern.txt")
        clip = next(lines for _, lines in blocks(read["docs/stage.md"]) if lines[0].startswith("clip"))
        (place.folder / "clips.txt").write_text("\n".join(clip) + "\n")
        place.must("brink stage --scenarios clips.txt --into clips")
        real = [line.strip() for line in place.must("brink analyse test-signals/wedge.flac").splitlines() if line.strip()]
        begun = read["README.md"].index("    test-signals/wedge.flac")
        shown = [line.strip() for line in read["README.md"][begun:].splitlines()[:8] if line.strip()]
        assert real == shown, f"README.md shows {shown}, brink says {real}"
        label = place.must("brink analyse --format labels test-signals/wedge.flac").strip()
        assert label in read["docs/reports.md"], f"docs/reports.md does not show {label!r}"
        link = [lines for _, lines in blocks(read["docs/console-link.md"])]
        (place.folder / "lantern-wedge-1.txt").write_text("\n".join(link[0]) + "\n")
        said = place.must("brink target check lantern-wedge-1.txt").splitlines()
        for line in link[1]:
            assert line == "..." or line in said, f"docs/console-link.md shows {line!r}, brink says {said}"
        used = (self.source / "examples/CMakeLists.txt").read_text(encoding="utf-8")
        assert "find_package(brink 0.1 REQUIRED)" in used and "find_package(brink 0.1 REQUIRED)" in read["docs/library.md"]
        self.counts["snippets"] = 8

    def check(self, page):
        name = str(page.relative_to(self.source))
        text = page.read_text(encoding="utf-8")
        self.place = self.filled.copy(self.work / name.replace("/", "-"))
        for number, lines in blocks(text):
            if any(lines[0].startswith(begun) for begun in ILLUSTRATIONS.get(name, [])):
                continue
            for command in commands(lines):
                self.command(f"{name}:{number}", command)
        for number, command in inline_commands(text):
            # The README's table is what newcomers copy, so it is run; running text is looked at.
            is_whole = name == "README.md" and not command.startswith("brink analyse --format labels")
            (self.run if is_whole else self.options_are_known)(f"{name}:{number}", command)
        for number, line in enumerate(text.splitlines(), 1):
            for command in re.findall(r"`((?:cmake --workflow|cmake --build --preset|ctest --preset) [^`]*)`", line):
                self.look_at(f"{name}:{number}", command)


def main():
    brink, source, build, work = map(os.path.abspath, sys.argv[1:])
    documents = Documents(brink, source, build, work)
    documents.snippets()
    for page in pages(source):
        if page.name not in ("log.md", "CHANGELOG.md"):
            documents.check(page)
    print("\n".join(documents.faults) or documents.counts)
    # A reader of pages that finds nothing to run has lost its eyes.
    sys.exit(1 if documents.faults or documents.counts["run"] < 30 or documents.counts["looked at"] < 30 else 0)


main()
