"""Uses the build guide in a headless browser; writes "ok NAME" or "not ok NAME" a line.

Works in the folder given: pack/frost-alarm.html, hostile.html, large.html.
"""
import base64
import json
import os
import re
import subprocess
import sys
import tempfile

from selenium import webdriver
from selenium.webdriver.chrome.options import Options
from selenium.webdriver.chrome.service import Service
from selenium.webdriver.common.action_chains import ActionChains
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys

ACCENT = "rgb(0, 114, 178)"  # #0072B2


def check(name, good, seen=None):
    print(("ok " if good else "not ok ") + name)
    if not good and seen is not None:
        print("seen: %s" % (seen,))
    sys.stdout.flush()


def start(folder):
    options = Options()
    options.binary_location = subprocess.run(
        ["sh", "-c", "command -v chromium"], capture_output=True, text=True, check=True).stdout.strip()
    for flag in ["--headless=new", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage",
                 "--disable-background-networking", "--disable-component-update", "--disable-sync",
                 "--no-first-run", "--window-size=1400,1000",
                 "--user-data-dir=" + tempfile.mkdtemp(dir=folder)]:
        options.add_argument(flag)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
    driver = subprocess.run(["sh", "-c", "command -v chromedriver"], capture_output=True, text=True,
                            check=True).stdout.strip()
    return webdriver.Chrome(service=Service(driver), options=options)


class Guide:
    def __init__(self, browser, path):
        self.browser = browser
        self.url = "file://" + path

    def open(self):
        self.browser.get(self.url)
        return self

    def run(self, script, *arguments):
        return self.browser.execute_script(script, *arguments)

    def told(self):
        return self.run("return document.getElementById('told').textContent")

    def step(self, title):
        """The step whose label begins so."""
        found = self.run(
            "return [...document.querySelectorAll('#steps .step')].find("
            "s => s.querySelector('label').textContent.startsWith(arguments[0]))", title)
        if found is None:
            raise AssertionError("no step begins with " + title)
        return found

    def lights(self, side):
        """Names of the holes lit on one side, and whether each ring is where the drawing has
        the hole's lead, link end or cut."""
        return self.run("""
            const side = document.getElementById(arguments[0]), seen = [];
            for (const ring of side.querySelectorAll('.light .halo')) {
              const name = ring.dataset.lights;
              const use = [...side.querySelectorAll('[data-hole]')].find(e => e.dataset.hole === name)
                ?.querySelector('use');
              const at = use && Math.hypot(use.x.baseVal.value - ring.cx.baseVal.value,
                                           use.y.baseVal.value - ring.cy.baseVal.value);
              seen.push([name, at === undefined ? -1 : at]);
            }
            return seen.sort();""", side)

    def find(self, text):
        box = self.browser.find_element(By.ID, "find")
        box.clear()
        box.send_keys(text)
        return self.told()


def requests(browser):
    urls = []
    for entry in browser.get_log("performance"):
        message = json.loads(entry["message"])["message"]
        if message["method"] == "Network.requestWillBeSent":
            urls.append(message["params"]["request"]["url"])
    return urls


def complaints(browser):
    return [entry for entry in browser.get_log("browser") if entry["level"] in ("SEVERE", "WARNING")]


def try_ticks(guide):
    boxes = guide.browser.find_elements(By.CSS_SELECTOR, "#steps .tickbox")
    check("there are steps to tick", len(boxes) > 40, len(boxes))
    for box in boxes[:3]:
        box.click()
    progress = guide.browser.find_element(By.ID, "progress").text
    check("ticks are counted", progress.startswith("3 of %d steps done." % len(boxes)), progress)
    current = guide.run("return document.querySelector('[aria-current=step] .tickbox').id")
    check("the next step to do is the one in hand", current == boxes[3].get_attribute("id"), current)
    guide.open()
    ticked = guide.run("return [...document.querySelectorAll('.tickbox')].filter(b => b.checked).length")
    check("ticks are remembered after a reload", ticked == 3, ticked)
    keys = guide.run("return Object.keys(localStorage)")
    check("they are kept under the plan's hash", len(keys) == 1 and re.fullmatch("stripwright-guide-[0-9a-f]{32}", keys[0]),
          keys)
    guide.run("window.confirm = () => true; document.getElementById('clear').click()")
    guide.open()
    ticked = guide.run("return [...document.querySelectorAll('.tickbox')].filter(b => b.checked).length")
    check("all ticks can be taken away", ticked == 0, ticked)


def try_lights(guide):
    for title in ("R6 ", "Q1 ", "U1 ", "Link from ", "Cut at ", "Terminal pin VCC"):
        step = guide.step(title)
        step.click()
        wanted = sorted(set(step.get_attribute("data-holes").split()))
        for side in ("component", "copper"):
            seen = guide.lights(side)
            good = [name for name, _ in seen] == wanted and all(0 <= at < 0.01 for _, at in seen)
            check("the step '%s' lights its holes on the %s side" % (title.strip(), side), good, (seen, wanted))
    guide.step("R6 ").click()
    body = guide.run("""const part = [...document.querySelectorAll('#component .part')].find(e => e.dataset.ref === 'R6');
        const other = [...document.querySelectorAll('#component .part')].find(e => e.dataset.ref === 'R5');
        const style = e => getComputedStyle(e.querySelector('.body'));
        return [style(part).stroke, parseFloat(style(part).strokeWidth), style(other).stroke, parseFloat(style(other).strokeWidth)]""")
    check("the part is drawn in the accent and heavier", body[0] == ACCENT and body[2] != ACCENT and body[1] > body[3], body)
    link = guide.step("Link from ")
    link.click()
    lit = guide.run("return [...document.querySelectorAll('#component .link.lit')].map(e => e.dataset.step)")
    check("the link itself is lit", lit and set(lit) == {link.get_attribute("data-mark")}, lit)


def try_pointing(guide):
    lead = guide.run("return [...document.querySelectorAll('#component .lead')].find(e => e.dataset.ref === 'R6')")
    hole, node = lead.get_attribute("data-hole"), lead.get_attribute("data-node")
    ActionChains(guide.browser).move_to_element(lead).perform()
    told = guide.told()
    check("pointing at a lead tells of it", told.startswith("%s: R6 pin " % hole) and "Node %s" % node in told, told)
    lit = guide.run("return [...document.querySelectorAll('#copper .seg.lit')].map(e => e.dataset.node)")
    check("its node's copper is lit on the other side", lit and set(lit) == {node}, lit)
    everything = guide.run("return [...document.querySelectorAll('#component .lead, #component .link')]"
                           ".filter(e => e.dataset.node === arguments[0]).every(e => e.classList.contains('lit'))", node)
    check("and so is all that belongs to the node", everything)
    ActionChains(guide.browser).move_to_element(guide.browser.find_element(By.TAG_NAME, "h1")).perform()
    check("it goes out when the pointer leaves", not guide.run("return document.querySelector('#copper .seg.lit')"))
    copper = guide.run("return [...document.querySelectorAll('#copper .lead')].find(e => e.dataset.ref === 'R6')")
    copper.click()
    ActionChains(guide.browser).move_to_element(guide.browser.find_element(By.TAG_NAME, "h1")).perform()
    check("what is tapped stays lit", guide.told().startswith(copper.get_attribute("data-hole") + ": R6 pin "), guide.told())
    button = guide.browser.find_element(By.CSS_SELECTOR, "[data-of-node='1']")
    button.click()
    check("a node's button shows the node", guide.told().startswith("Node 1 "), guide.told())


def try_search(guide):
    told = guide.find("r6")
    check("search finds a part without regard to case", told.startswith("R6 4k7: pin 1 in "), told)
    check("and lights it", [name for name, _ in guide.lights("copper")] == sorted(
        guide.step("R6 ").get_attribute("data-holes").split()))
    cut = guide.step("Cut at ").get_attribute("data-holes")
    told = guide.find(cut)
    check("search finds a hole", told.startswith(cut + ": cut"), told)
    told = guide.find("node 2")
    check("search finds a node by number", told.startswith("Node 2 0: "), told)
    told = guide.find("sense")
    check("and by name", "SENSE: " in told and told.startswith("Node "), told)
    told = guide.find("zz<b>")
    check("what is not there is said", told == "Nothing is called zz<b>.", told)
    guide.browser.find_element(By.ID, "find").send_keys(Keys.ESCAPE)
    check("Escape empties the search", guide.browser.find_element(By.ID, "find").get_attribute("value") == "")


def try_keys(guide):
    guide.open()
    active = lambda: guide.browser.switch_to.active_element
    ActionChains(guide.browser).send_keys(Keys.TAB).perform()
    check("the first Tab comes to the skip link", active().get_attribute("class") == "skip")
    active().send_keys(Keys.ENTER)
    check("it leads to the steps", guide.browser.current_url.endswith("#steps"))
    box = guide.browser.find_element(By.CSS_SELECTOR, "#steps .tickbox")
    guide.run("arguments[0].focus()", box)
    box.send_keys(Keys.SPACE)
    check("the space bar ticks", box.is_selected())
    box.send_keys(Keys.SPACE)
    box.send_keys(Keys.ARROW_DOWN)
    second = guide.browser.find_elements(By.CSS_SELECTOR, "#steps .tickbox")[1]
    check("an arrow goes to the next step", active() == second)
    style = guide.run("const s = getComputedStyle(document.activeElement); return [s.outlineStyle, parseFloat(s.outlineWidth)]")
    check("where the focus is can be seen", style[0] == "solid" and style[1] >= 2, style)
    for side, key in (("component", Keys.ARROW_RIGHT), ("copper", Keys.ARROW_LEFT)):
        guide.open()
        board = guide.browser.find_element(By.CSS_SELECTOR, "#%s .scroll" % side)
        guide.run("arguments[0].focus()", board)
        board.send_keys(Keys.ARROW_DOWN)
        board.send_keys(Keys.ARROW_DOWN)
        board.send_keys(key)
        check("arrows walk from hole to hole on the %s side" % side, guide.told().startswith("B2:"), guide.told())


def try_semantics(guide):
    guide.open()
    wrong = guide.run("""
        const wrong = [], ids = new Set();
        for (const e of document.querySelectorAll('[id]')) {
          if (ids.has(e.id)) wrong.push('id twice: ' + e.id);
          ids.add(e.id);
        }
        for (const e of document.querySelectorAll('[aria-labelledby], [aria-describedby], [aria-controls]'))
          for (const name of ['aria-labelledby', 'aria-describedby', 'aria-controls'])
            for (const id of (e.getAttribute(name) || '').split(' ').filter(Boolean))
              if (!ids.has(id)) wrong.push(name + ' of nothing: ' + id);
        for (const e of document.querySelectorAll('input'))
          if (!e.labels.length || !e.labels[0].textContent.trim()) wrong.push('no label: ' + e.id);
        for (const e of document.querySelectorAll('button'))
          if (!(e.getAttribute('aria-label') || e.textContent).trim()) wrong.push('no name: button');
        for (const a of document.querySelectorAll('a[href^="#"], use'))
          if (!ids.has(a.getAttribute('href').slice(1))) wrong.push('leads nowhere: ' + a.getAttribute('href'));
        for (const name of ['header', 'main', 'nav', 'aside'])
          if (document.querySelectorAll(name).length !== 1) wrong.push(name);
        if (document.documentElement.lang !== 'en') wrong.push('lang');
        return wrong;""")
    check("every control is named, every reference leads somewhere", wrong == [], wrong[:5])
    check("what is lit is said in a live region",
          guide.browser.find_element(By.ID, "told").get_attribute("aria-live") == "polite")


def luminance(colour):
    parts = [int(n) / 255 for n in re.findall(r"\d+", colour)[:3]]
    r, g, b = [n / 12.92 if n <= 0.04045 else ((n + 0.055) / 1.055) ** 2.4 for n in parts]
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def contrasts(guide):
    """The least contrast of text with the page, WCAG 2.1 1.4.3."""
    colours = guide.run("""return ['body', '.watch', 'small', '.step p', 'a', 'thead th', '.done label'].map(s =>
        document.querySelector(s)).filter(Boolean).map(e => getComputedStyle(e).color)
        .concat(getComputedStyle(document.body).backgroundColor)""")
    back = luminance(colours.pop())
    return min((max(luminance(c), back) + 0.05) / (min(luminance(c), back) + 0.05) for c in colours)


def try_media(guide):
    for scheme in ("light", "dark"):
        guide.browser.execute_cdp_cmd("Emulation.setEmulatedMedia",
                                      {"features": [{"name": "prefers-color-scheme", "value": scheme}]})
        back = luminance(guide.run("return getComputedStyle(document.body).backgroundColor"))
        check("the page is %s when the system is" % scheme, (back > 0.5) == (scheme == "light"), back)
        sheet = guide.run("return getComputedStyle(document.querySelector('.sheet-of-paper svg')).backgroundColor")
        check("the drawing is black on white then (%s)" % scheme, luminance(sheet) > 0.99, sheet)
        least = contrasts(guide)
        check("text can be read then (%s): contrast 4.5 and more" % scheme, least >= 4.5, least)
    guide.browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": []})


def try_widths(guide, what):
    for width in (360, 768, 1400):
        guide.browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", {
            "width": width, "height": 740, "deviceScaleFactor": 1, "mobile": width < 800})
        guide.open()
        wide = guide.run("return [document.documentElement.scrollWidth, innerWidth]")
        check("%s: no sideways scrolling of the page, %d px wide" % (what, width), wide[0] <= wide[1] == width, wide)
        shown = guide.run("return [...document.querySelectorAll('.side')].filter(e => e.offsetWidth).length")
        check("%s: %d px show one side or both" % (what, width), shown == (2 if width > 1000 else 1), shown)
        pitch = guide.run("const s = document.querySelector('.sheet-of-paper svg'); return 2.54 * s.clientWidth / s.viewBox.baseVal.width")
        check("%s: holes are 10 px apart or more" % what, pitch >= 10, pitch)
        before = guide.run("return document.querySelector('.sheet-of-paper svg').clientWidth")
        guide.run("document.getElementById('larger').click()")
        after = guide.run("return document.querySelector('.sheet-of-paper svg').clientWidth")
        check("%s: the drawing can be made larger" % what, after > 1.2 * before, (before, after))
    guide.browser.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})


def try_turning(guide):
    guide.browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", {
        "width": 360, "height": 740, "deviceScaleFactor": 1, "mobile": True})
    guide.open()
    shown = lambda: guide.run("return [...document.querySelectorAll('.side')].filter(e => e.offsetWidth).map(e => e.id)")
    guide.run("arguments[0].click()", guide.step("Cut at "))
    check("a phone turns to the copper side for cuts", shown() == ["copper"], shown())
    guide.run("arguments[0].click()", guide.step("R6 "))
    check("and back for parts", shown() == ["component"], shown())
    guide.run("document.getElementById('turn').click()")
    check("it can be turned by hand", shown() == ["copper"], shown())
    guide.browser.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})


def try_print(guide, folder):
    guide.open()
    page = guide.browser.execute_cdp_cmd("Page.printToPDF", {"paperWidth": 8.27, "paperHeight": 11.69})
    path = os.path.join(folder, "guide.pdf")
    with open(path, "wb") as out:
        out.write(base64.b64decode(page["data"]))
    facts = subprocess.run(["pdfinfo", path], capture_output=True, text=True, check=True).stdout
    pages = int(re.search(r"Pages:\s+(\d+)", facts).group(1))
    check("it prints on few pages", 4 <= pages <= 12, pages)
    text = subprocess.run(["pdftotext", "-layout", path, "-"], capture_output=True, text=True, check=True).stdout
    for wanted in ("Component side", "Copper side", "Cut at ", "Link from ", "Prove the copper", "The ICs, last", "Node schedule"):
        check("'%s' is in print" % wanted.strip(), wanted in text)
    check("buttons are not", "Turn over" not in text and "Begin again" not in text)


def try_refused_storage(browser, folder):
    with open(os.path.join(folder, "frame.html"), "w", encoding="utf-8") as out:
        out.write("<!DOCTYPE html><title>frame</title><iframe sandbox='allow-scripts' width=1200 height=800 "
                  "src='pack/frost-alarm.html'></iframe>")
    browser.get("file://" + os.path.join(folder, "frame.html"))
    browser.switch_to.frame(0)
    box = browser.find_element(By.CSS_SELECTOR, "#steps .tickbox")
    box.click()
    progress = browser.find_element(By.ID, "progress").text
    check("where storage is refused ticks still count", progress.startswith("1 of "), progress)
    check("and the page says that it forgets", "does not let the page remember" in progress, progress)
    browser.switch_to.default_content()
    faults = [c for c in complaints(browser) if "Uncaught" in c["message"]]
    check("and nothing is thrown", faults == [], faults)


def try_hostile(browser, folder):
    guide = Guide(browser, os.path.join(folder, "hostile.html")).open()
    seen = guide.run("return [document.querySelectorAll('#broken, main img, main b[id], svg img').length, document.scripts.length]")
    check("hostile names stay text", seen == [0, 2], seen)
    told = guide.find("R1")
    check("and are shown as they are", "<img src=x onerror=alert(1)>" in told and "</script><b id=broken>" in told, told)
    check("and do no harm", complaints(browser) == [])


def try_policy(guide):
    guide.open()
    refused = guide.browser.execute_async_script("""
        const done = arguments[0], seen = [];
        addEventListener('securitypolicyviolation', e => seen.push(e.effectiveDirective));
        const image = new Image();
        image.src = 'http://127.0.0.1:9/x.png';
        const script = document.createElement('script');
        script.textContent = 'window.ran = true';
        document.body.append(image, script);
        fetch('http://127.0.0.1:9/').catch(() => 0).then(() => setTimeout(() => done([seen.sort(), window.ran === true]), 200));""")
    check("the page's policy lets nothing be asked for or slipped in",
          {"connect-src", "img-src"} <= set(refused[0]) and any(d.startswith("script-src") for d in refused[0]) and not refused[1],
          refused)


def main():
    folder = os.path.abspath(sys.argv[1])
    browser = start(folder)
    try:
        browser.set_window_size(1400, 1000)
        guide = Guide(browser, os.path.join(folder, "pack", "frost-alarm.html")).open()
        try_ticks(guide)
        try_lights(guide)
        try_pointing(guide)
        try_search(guide)
        try_keys(guide)
        try_semantics(guide)
        try_media(guide)
        try_widths(guide, "small board")
        try_turning(guide)
        try_print(guide, folder)
        large = Guide(browser, os.path.join(folder, "large.html"))
        try_widths(large, "large board")
        seen = complaints(browser)
        check("the console has nothing to complain of", seen == [], seen[:3])
        urls = [url for url in requests(browser)  # chrome: is the browser's own first page
                if not url.startswith(("file:", "data:", "about:", "chrome:"))]
        check("nothing was asked of any network", urls == [], urls[:3])
        try_hostile(browser, folder)
        try_refused_storage(browser, folder)
        try_policy(guide)
    finally:
        browser.quit()


main()
