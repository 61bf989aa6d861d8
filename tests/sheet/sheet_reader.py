"""Reads a sheet as strictly as XML is read, and says what is wrong with it: what does not parse, runs, loads
something, or leaves somebody out who does not see the pictures. Exit status 1 and a line for the first fault."""

import re
import sys
import xml.etree.ElementTree as ElementTree

# What a sheet is made of; nothing of it can load or run anything.
ELEMENTS = set(
    """html head meta title style body header footer section h1 h2 h3 p span strong b small sub bdi time data dl div dt dd
    table caption thead tbody tr th td figure figcaption svg desc line rect circle path polyline text""".split()
)
LOADING = re.compile(r"url\(|@import|expression\(|javascript:", re.IGNORECASE)


def local(name):
    return name.rsplit("}", 1)[-1]


def faults(path):
    page = open(path, encoding="utf-8", errors="strict").read()
    try:
        root = ElementTree.fromstring(page)
    except ElementTree.ParseError as error:
        yield f"does not parse: {error}"
        return
    seen = set()
    for element in root.iter():
        name = local(element.tag)
        if name not in ELEMENTS:
            yield f"an element {name}"
        for key, value in element.attrib.items():
            if local(key).startswith("on") or local(key) in ("href", "src", "srcset", "action"):
                yield f"an attribute {key}"
            if local(key) == "style" and LOADING.search(value):
                yield "a style that loads"
        if name == "style" and LOADING.search(element.text or ""):
            yield "a style sheet that loads"
        if "id" in element.attrib:
            if element.attrib["id"] in seen:
                yield f"a second {element.attrib['id']}"
            seen.add(element.attrib["id"])
        if name == "th" and element.attrib.get("scope") not in ("row", "col"):
            yield "a heading of a table without a scope"
        if name == "table" and not any(local(child.tag) == "caption" for child in element):
            yield "a table without a caption"
        if name == "svg" and element.attrib.get("aria-hidden") != "true":
            told = [child for child in element if local(child.tag) in ("title", "desc") and (child.text or "").strip()]
            if len(told) != 2 or element.attrib.get("role") != "img":
                yield "a picture without title and description"
    for element in root.iter():
        for name in element.attrib.get("aria-labelledby", "").split():
            if name not in seen:
                yield f"a label {name} that is not there"
    for table in (element for element in root.iter() if local(element.tag) == "table"):
        widths = {len(row) for row in table.iter() if local(row.tag) == "tr"}
        if len(widths) != 1:
            yield f"rows of {sorted(widths)} cells in one table"


for fault in faults(sys.argv[1]):
    print(fault)
    sys.exit(1)
