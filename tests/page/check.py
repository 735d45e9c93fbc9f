"""What a reader with a browser meets on the pages of a report.

Call: check.py --browser CHROMIUM --axe AXE.JS [--pictures FOLDER] PAGE...

In Debian: `apt-get install chromium`, `pip install -r requirements.txt`, `npm pack axe-core` for axe.min.js.
Each page is opened at three widths, by day and by night. It fails where the page is wider than the window, where the browser
logs a message, where axe-core finds a violation, where the Tab key does not reach what can be used, and where it does not
print. With --pictures, what the browser shows and prints is kept to be looked at.
"""

import argparse
import pathlib
import sys

from playwright.sync_api import sync_playwright

WIDTHS = (360, 768, 1280)
SCHEMES = ("light", "dark")
USABLE = "a[href], button, summary, [tabindex='0']"

# A reader by keyboard presses Tab until nothing new comes; what is folded away is opened first.
UNFOLDED = "document.querySelectorAll('details').forEach((folded) => { folded.open = true; })"
NUMBERED = f"""() => {{
  const usable = [...document.querySelectorAll("{USABLE}")];
  usable.forEach((element, position) => {{ element.dataset.position = position; }});
  return usable.map((element) => element.outerHTML.slice(0, 120));
}}"""
FOCUSED = "document.activeElement?.dataset.position ?? null"


def faults_of(page, address, axe, pictures, name):
    for scheme in SCHEMES:
        page.emulate_media(color_scheme=scheme)
        for width in WIDTHS:
            page.set_viewport_size({"width": width, "height": 900})
            page.goto(address)
            wide = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
            if wide > 0:
                yield f"{width} px, {scheme}: {wide} px too wide"
            if pictures:
                page.screenshot(path=pictures / f"{name}-{width}-{scheme}.png")
        page.evaluate(UNFOLDED)
        page.evaluate(axe)
        found = page.evaluate("axe.run()")
        for violation in found["violations"]:
            places = "; ".join(node["html"][:160] for node in violation["nodes"][:3])
            yield f"{scheme}: {violation['id']}: {violation['help']}: {places}"
        print(f"  {scheme}: {len(found['passes'])} rules of axe-core hold, {len(found['violations'])} do not")

    page.goto(address)
    page.evaluate(UNFOLDED)
    usable = page.evaluate(NUMBERED)
    reached = set()
    for _ in range(2 * len(usable) + 10):
        page.keyboard.press("Tab")
        position = page.evaluate(FOCUSED)
        if position is None and reached:
            break
        reached.add(int(position or 0))
    for position in sorted(set(range(len(usable))) - reached):
        yield f"the keyboard does not reach {usable[position]}"
    print(f"  {len(reached)} of {len(usable)} places reached by keyboard")

    page.goto(address)
    printed = page.pdf(format="A4", path=pictures / f"{name}.pdf" if pictures else None)
    if not printed.startswith(b"%PDF-"):
        yield "it does not print"
    print(f"  printed: {printed.count(b'/Type /Page' + chr(10).encode())} pages, {len(printed)} bytes")


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--browser", required=True)
    parser.add_argument("--axe", required=True, type=pathlib.Path)
    parser.add_argument("--pictures", type=pathlib.Path)
    parser.add_argument("pages", nargs="+", type=pathlib.Path)
    asked = parser.parse_args()
    axe = asked.axe.read_text(encoding="utf-8")
    if asked.pictures:
        asked.pictures.mkdir(parents=True, exist_ok=True)
    faults = []
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=asked.browser, args=["--no-sandbox"])
        for number, path in enumerate(asked.pages):
            print(path)
            page = browser.new_context().new_page()
            said = []
            page.on("console", lambda message, said=said: said.append(f"logged: {message.text}"))
            page.on("pageerror", lambda error, said=said: said.append(f"failed: {error}"))
            name = f"{number}-{path.stem}"
            found = list(faults_of(page, path.resolve().as_uri(), axe, asked.pictures, name))
            faults += [f"{path}: {fault}" for fault in found + said]
        browser.close()
    print("\n".join(faults) if faults else "nothing to mend")
    sys.exit(bool(faults))


main()
