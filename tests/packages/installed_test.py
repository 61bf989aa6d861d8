"""Installs the program from a build tree, and looks at what lies beside it.

    installed_test.py BUILD_DIR SOURCE_DIR WORK_DIR

The manual pages must have every command and option that --help tells, and no other; --help is the parser's, the pages are the
build's. The desktop's own checkers must take the desktop entry and the AppStream file. The version must be the same everywhere.
"""

import glob
import os
import re
import shutil
import subprocess
import sys
import xml.etree.ElementTree


def run(*words, **more):
    done = subprocess.run(words, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, **more)
    if done.returncode != 0:
        sys.exit(f"failed ({done.returncode}): {' '.join(words)}\n{done.stdout}")
    return done.stdout


def commands_of(help_text):
    """The names below "Subcommands:"."""
    below = help_text.partition("Subcommands:\n")[2]
    return re.findall(r"^  ([a-z][a-z-]*) ", below.partition("\n\n")[0], re.MULTILINE)


def option_lines(help_text):
    """The options that a help lists, not those in its examples."""
    return set(re.findall(r"^  (?:-\w,)?(--[a-z-]+)", help_text, re.MULTILINE))


def shown(page):
    """The page as a reader sees it. Troff must have nothing to say against it."""
    done = subprocess.run(["man", "--warnings", "-E", "UTF-8", "-l", page], capture_output=True, text=True,
                          env=dict(os.environ, MANWIDTH="400", MAN_KEEP_FORMATTING="", LC_ALL="C.UTF-8"), check=False)
    assert done.returncode == 0, done.stderr
    assert done.stderr == "", f"{page}: {done.stderr}"
    return re.sub(r".\x08", "", done.stdout)


def check_pages(brink, prefix):
    pages = {os.path.basename(path)[:-2]: shown(path) for path in glob.glob(f"{prefix}/share/man/man1/*.1")}
    commands = commands_of(run(brink, "--help"))
    assert len(commands) >= 11, commands
    assert set(pages) == {"brink", *(f"brink-{name}" for name in commands)}, sorted(pages)
    for name in commands:
        assert f"brink-{name}(1)" in pages["brink"], name
        help_text = run(brink, name, "--help")
        wanted = option_lines(help_text)
        for below in commands_of(help_text):
            assert f"brink {name} {below}" in pages[f"brink-{name}"], below
            wanted |= option_lines(run(brink, name, below, "--help"))
        # Options of the page are those at the head of a paragraph, behind blanks alone.
        told = set(re.findall(r"^ +(?:-\w, )?(--[a-z-]+)", pages[f"brink-{name}"], re.MULTILINE))
        assert told == wanted, f"brink {name}: {told ^ wanted}"
        assert "EXAMPLES" in pages[f"brink-{name}"] or "brink book" in pages[f"brink-{name}"], name
    print(f"{len(pages)} manual pages")


def check_desktop(prefix):
    if not os.path.exists(f"{prefix}/share/applications/brink.desktop"):
        print("no window in this build, so no desktop entry")
        return
    for checker in ("desktop-file-validate", "appstreamcli"):
        if shutil.which(checker) is None:
            sys.exit(f"{checker} is not here; third_party/install brings it")
    assert run("desktop-file-validate", f"{prefix}/share/applications/brink.desktop") == ""
    metainfo = f"{prefix}/share/metainfo/local.brink.panel.metainfo.xml"
    said = subprocess.run(["appstreamcli", "validate", "--no-net", metainfo], capture_output=True, text=True, check=False).stdout
    # brink has no page of its own on the web. Newer checkers warn of that, older ones do not know the warning.
    faults = [line for line in said.splitlines() if line[:2] in ("E:", "W:") and "url-homepage-missing" not in line]
    assert "Validation" in said and not faults, said
    icon = xml.etree.ElementTree.parse(f"{prefix}/share/icons/hicolor/scalable/apps/brink.svg").getroot()
    assert icon.tag.endswith("svg") and icon.get("width") == icon.get("height")


def check_version(brink, prefix, source):
    with open(f"{source}/CHANGELOG.md", encoding="utf-8") as file:
        version, date = re.search(r"^## ([\d.]+) \(([\d-]+)\)$", file.read(), re.MULTILINE).groups()
    assert run(brink, "--version") == f"brink {version}\n"
    with open(f"{prefix}/share/man/man1/brink.1", encoding="utf-8") as file:
        assert f'"brink {version}"' in file.readline()
    for path in glob.glob(f"{prefix}/share/metainfo/*.xml"):
        release = xml.etree.ElementTree.parse(path).getroot().find("releases/release")
        assert (release.get("version"), release.get("date")) == (version, date), path
    config = glob.glob(f"{prefix}/**/brink-config-version.cmake", recursive=True)
    with open(config[0], encoding="utf-8") as file:
        assert f'set(PACKAGE_VERSION "{version}")' in file.read()
    assert glob.glob(f"{prefix}/**/libbrink.so.{version}", recursive=True)
    print(f"version {version} of {date}")


def main():
    build, source, work = map(os.path.abspath, sys.argv[1:])
    shutil.rmtree(work, ignore_errors=True)
    for component in ("program", "library", "development"):
        run("cmake", "--install", build, "--component", component, "--prefix", work)
    brink = f"{work}/bin/brink"
    check_version(brink, work, source)
    check_desktop(work)
    check_pages(brink, work)


main()
