"""The pages that people read, and what is in them: blocks, commands, links."""

import pathlib
import re


def pages(source):
    """README, DEVELOPERS and so on, and docs/; docs/log.md tells what was once done, so its commands need not run any more."""
    source = pathlib.Path(source)
    found = sorted([*source.glob("*.md"), *source.glob("docs/*.md"), *source.glob("third_party/*.md"), *source.glob("test-signals/*.md")])
    assert len(found) > 15, found
    return found


def blocks(text):
    """Each block as (line number, lines): between fences, or indented by four blanks after an empty line."""
    found, current, in_fence, may_indent = [], None, False, True
    for number, line in enumerate(text.splitlines() + [""], 1):
        if line.startswith("```"):
            if not in_fence:
                current = (number + 1, [])
                found.append(current)
            in_fence = not in_fence
            current = current if in_fence else None
            may_indent = True
            continue
        if in_fence:
            current[1].append(line)
        elif line.startswith("    ") and (current or may_indent):
            if current is None:
                current = (number, [])
                found.append(current)
            current[1].append(line[4:])
        else:
            current = None
            may_indent = not line.strip()
    return found


def commands(lines):
    """The commands in a block: each with the lines that it goes on over. In a block with `$ `, only what follows those."""
    marked = any(line.startswith("$ ") for line in lines)
    found = []
    for line in lines:
        if found and re.search(r"(\||\\|&&)$", found[-1].rstrip()):
            found[-1] = found[-1].rstrip().rstrip("\\") + " " + line.strip()
        elif not marked or line.startswith("$ "):
            found.append(line[2:] if marked else line)
    return [re.sub(r"\s+# .*", "", command).strip() for command in found if command.strip()]


def inline_commands(text):
    """`brink ...` in running text and tables, outside blocks, and without what only names a command or a form of it."""
    for number, line in enumerate(text.splitlines(), 1):
        for command in re.findall(r"(?<!`)`(brink [^`]+)`(?!`)", line):
            is_form = re.search(r"\b[A-Z]{3,}\b|\[|\\\|", command)
            if not is_form:
                yield number, command


def anchors(text):
    """The anchors of the headings, by the rule of the usual hosts: small letters, no signs, blanks as hyphens."""
    found = set()
    for heading in re.findall(r"^#+ (.*)$", text, re.MULTILINE):
        plain = re.sub(r"[^\w\- ]", "", re.sub(r"\[([^\]]*)\]\([^)]*\)", r"\1", heading)).strip().lower()
        found.add(plain.replace(" ", "-"))
    return found


def links(text):
    """(line number, target) of every link and picture outside blocks."""
    outside = text.splitlines()
    for first, lines in blocks(text):
        for index in range(first - 1, min(first - 1 + len(lines), len(outside))):
            outside[index] = ""
    for number, line in enumerate(outside, 1):
        for target in re.findall(r"\]\(([^)\s]+)\)", re.sub(r"`[^`]*`", "", line)):
            yield number, target
