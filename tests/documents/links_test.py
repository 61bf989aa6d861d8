"""Every link of every page leads somewhere: the file is there, and so is the heading in it.

    links_test.py SOURCE_DIR
"""

import pathlib
import sys

from pages import anchors, links, pages


def broken(page, text):
    for number, target in links(text):
        if target.startswith(("http://", "https://", "mailto:")):
            continue  # the world changes without us
        path, _, anchor = target.partition("#")
        file = (page.parent / path).resolve() if path else page
        if not file.exists():
            yield f"{page}:{number}: {target}: there is no such file"
        elif anchor and anchor not in anchors(file.read_text(encoding="utf-8")):
            yield f"{page}:{number}: {target}: there is no such heading"


def check_itself(folder):
    """Two planted links that lead nowhere are found, and two good ones are not."""
    page = pathlib.Path(folder) / "README.md"
    text = "# A `b` c: d\n[1](nowhere.md) [2](#nowhere) [3](#a-b-c-d) [4](README.md)\n\n    [5](in-a-block.md)\n"
    found = list(broken(page, text.replace("#a-b-c-d", "README.md")))
    assert len(found) == 2, found
    assert "a-b-c-d" in anchors(text)


def main():
    source = pathlib.Path(sys.argv[1])
    check_itself(source)
    faults, count = [], 0
    for page in pages(source):
        text = page.read_text(encoding="utf-8")
        count += len(list(links(text)))
        faults += broken(page, text)
    print("\n".join(faults) or f"{count} links")
    sys.exit(1 if faults or count < 50 else 0)


main()
