"""Sheets in a browser without a screen: laid out at a phone's width, in light and in dark, and printed on A4.

Called with the program that writes the sheets of invented shows, and a folder for pictures. Status 77 (skipped) where there
is no browser. Look at the pictures after a change of the sheets.
"""

import html.parser
import json
import os
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

PHONE_WIDTH = 360
# WCAG 2.1, success criterion 1.4.3: contrast of text at least 4.5 to 1.
LEAST_CONTRAST = 4.5
SHEETS = ("show", "large", "alone", "long", "hostile", "empty", "ear", "ear_empty")

# What a page says of itself once it is laid out. The page under test holds no script; this one is put into a copy.
PROBE = """
<pre id="probe"></pre><script>
const shown = e => { const b = e.getBoundingClientRect(); return b.width > 1 && b.height > 1; };
const numbers = text => text.match(/[\\d.]+/g).map(Number);
const light = rgb => { const [r, g, b] = rgb.slice(0, 3).map(v => v / 255)
  .map(v => v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
  return 0.2126 * r + 0.7152 * g + 0.0722 * b; };
const behind = e => { for (; e; e = e.parentElement) { const c = numbers(getComputedStyle(e).backgroundColor);
  if (c.length < 4 || c[3] > 0) return c; } return [255, 255, 255]; };
const wide = [], faint = [];
let texts = 0;
for (const e of document.querySelectorAll('body *')) {
  if (!shown(e)) continue;
  if (e.getBoundingClientRect().right > innerWidth + 0.5 && getComputedStyle(e.closest('thead') || e).position != 'absolute')
    wide.push(e.tagName + ' ' + e.textContent.slice(0, 30));
  if (![...e.childNodes].some(n => n.nodeType == 3 && n.textContent.trim()) || e.tagName == 'title' || e.tagName == 'desc')
    continue;
  ++texts;
  const style = getComputedStyle(e), svg = e instanceof SVGElement;
  // Numbers stand on discs of ink.
  const back = svg && e.classList.contains('in') ? numbers(getComputedStyle(e.previousElementSibling).fill) : behind(e);
  const a = light(numbers(svg ? style.fill : style.color)), b = light(back);
  const contrast = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
  if (contrast < LEAST) faint.push(contrast.toFixed(2) + ' ' + e.textContent.slice(0, 30));
}
document.getElementById('probe').textContent = JSON.stringify({ width: innerWidth, texts,
  scroll: document.documentElement.scrollWidth, wide: wide.slice(0, 5), faint: faint.slice(0, 5),
  dark: matchMedia('(prefers-color-scheme: dark)').matches });
</script>
"""


def find_browser():
    """Also looks for what reads the printed pages: without it half of the checks would pass unseen."""
    browser = next(filter(shutil.which, ("chromium-headless-shell", "chromium")), None)
    if not browser:
        print("no chromium here: skipped")
        sys.exit(77)
    for tool in ("pdftotext", "pdftoppm"):
        if not shutil.which(tool):
            print(f"no {tool} here (poppler-utils): skipped")
            sys.exit(77)
    return browser


class Browser:
    def __init__(self, profile):
        self.command = [find_browser(), "--headless", "--no-sandbox", "--disable-gpu", "--hide-scrollbars"]
        self.command += [f"--user-data-dir={profile}"]

    def run(self, page, *options):
        """What it prints on stdout."""
        done = subprocess.run([*self.command, *options, page.as_uri()], capture_output=True, timeout=120, check=True)
        return done.stdout.decode("utf-8", "replace")


class ProbeReader(html.parser.HTMLParser):
    text = None

    def handle_starttag(self, tag, attrs):
        if ("id", "probe") in attrs:
            self.text = ""

    def handle_data(self, data):
        if self.text == "":
            self.text = data


def probe(browser, page, width, is_dark=False):
    source = page.read_text(encoding="utf-8")
    copy = page.with_name(f"probe-{page.name}")
    source = re.sub(r'<meta http-equiv="Content-Security-Policy"[^>]*/>', "", source)
    copy.write_text(source.replace("</body>", PROBE.replace("LEAST", str(LEAST_CONTRAST)) + "</body>"), encoding="utf-8")
    options = [f"--window-size={width},3000", "--dump-dom"]
    if is_dark:
        options.append("--blink-settings=preferredColorScheme=0")
    reader = ProbeReader()
    reader.feed(browser.run(copy, *options))
    found = json.loads(reader.text)
    assert found["width"] == width and found["dark"] == is_dark, found
    return found


def check_layout(browser, page, wider):
    for width, is_dark in [(PHONE_WIDTH, False)] + [(PHONE_WIDTH, True), (700, False), (1280, False)] * wider:
        found = probe(browser, page, width, is_dark)
        assert found["texts"] > 3, found
        assert found["scroll"] <= width and not found["wide"], (page.name, found)
        assert not found["faint"], (page.name, found)


def check_probe(browser, page):
    """The probe finds what it is for."""
    bad = page.with_name("bad.html")
    spoilt = page.read_text(encoding="utf-8").replace("<h1>", '<p style="width:500px">a</p><p style="color:#888">b</p><h1>')
    bad.write_text(spoilt, encoding="utf-8")
    found = probe(browser, bad, PHONE_WIDTH)
    assert found["scroll"] > PHONE_WIDTH and found["wide"] and len(found["faint"]) == 1, found


def printed(browser, page, is_dark=False):
    """The page as a PDF of its own."""
    paper = page.with_suffix(".dark.pdf" if is_dark else ".pdf")
    options = ["--no-pdf-header-footer", "--print-to-pdf-no-header", f"--print-to-pdf={paper}"]
    browser.run(page, *options, *(["--blink-settings=preferredColorScheme=0"] if is_dark else []))
    return paper


def check_sizes(paper):
    """How many pages; all must be A4: 210 mm by 297 mm, in points."""
    data = paper.read_bytes()
    count = len(re.findall(rb"/Type\s*/Page\b", data))
    boxes = re.findall(rb"/MediaBox\s*\[\s*0\s+0\s+([\d.]+)\s+([\d.]+)\s*\]", data)
    assert count > 0 and len(boxes) == count, (count, boxes)
    for width, height in boxes:
        # Browsers round to whole pixels of 1/96 inch, 0.75 pt.
        assert abs(float(width) - 210 / 25.4 * 72) < 0.8 and abs(float(height) - 297 / 25.4 * 72) < 0.8, boxes
    return count


def page_texts(paper):
    done = subprocess.run(["pdftotext", "-layout", paper, "-"], capture_output=True, check=True)
    return done.stdout.decode("utf-8").replace("\u00a0", " ").split("\f")[:-1]


def cut_tables(page):
    """The centres in each output's table of cuts."""
    source = page.read_text(encoding="utf-8")
    for table in re.findall(r"<caption>The cuts,.*?</table>", source, re.DOTALL):
        yield [centre.replace("\u00a0", " ") for centre in re.findall(r'"Centre"><data [^>]*>([^<]*)</data>', table)]


def check_paper(browser, page, outputs, most_pages):
    paper = printed(browser, page)
    count = check_sizes(paper)
    assert outputs < count <= most_pages, (page.name, count)
    texts = page_texts(paper)
    assert len(texts) == count
    # Each output begins a page, which says whose it is.
    heads = [text for text in texts if text.lstrip().startswith("Larkfield Hall · The Quiet Levers")]
    assert len(heads) == outputs, (page.name, len(heads))
    # No table of cuts runs over the end of a page: what follows its caption on that page holds all its rows.
    holding = [text for text in texts if "The cuts, as the equaliser is set" in text]
    tables = list(cut_tables(page))
    assert len(holding) == len(tables) == outputs
    for text, centres in zip(holding, tables):
        rows = text.split("The cuts, as the equaliser is set")[1].split("What rang")[0]
        assert centres and all(centre in rows for centre in centres), (page.name, centres, rows)


def corner_grey(paper):
    """Grey of the first printed page at its corner, 255 for white."""
    done = subprocess.run(["pdftoppm", "-r", "20", "-gray", "-l", "1", paper], capture_output=True, check=True)
    return done.stdout.split(b"\n", 3)[3][0]


def main():
    program, pictures = sys.argv[1:]
    pictures = pathlib.Path(pictures).resolve()
    pictures.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        browser = Browser(os.path.join(folder, "profile"))
        subprocess.run([program, folder], check=True)
        pages = {name: pathlib.Path(folder) / f"{name}.html" for name in SHEETS}
        check_probe(browser, pages["show"])
        for name, page in pages.items():
            check_layout(browser, page, wider=name in ("show", "ear"))
        # Two or three sides of paper for an output, and one or two before them.
        check_paper(browser, pages["show"], 3, 8)
        check_paper(browser, pages["large"], 12, 38)
        assert check_sizes(printed(browser, pages["empty"])) == 1
        assert check_sizes(printed(browser, pages["alone"])) == 2  # one wedge, five rounds, no notes
        assert check_sizes(printed(browser, pages["ear"])) <= 4
        assert corner_grey(printed(browser, pages["show"], is_dark=True)) == 255
        for name, page, width, height in (
            ("sheet.png", "show", 700, 1340),
            ("sheet-phone.png", "show", PHONE_WIDTH, 3000),
            ("ear-sheet.png", "ear", 700, 1340),
        ):
            browser.run(pages[page], f"--window-size={width},{height}", f"--screenshot={pictures / name}")
            assert (pictures / name).stat().st_size > 20000, name
        shutil.copy(printed(browser, pages["show"]), pictures / "sheet.pdf")


main()
