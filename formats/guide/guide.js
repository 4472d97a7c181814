//<![CDATA[ so that the page is well-formed XML, too
'use strict';
/* The guide works without this script as a page to read and print.  The script remembers
 * ticks, lights in both drawings what a step or the pointer is about, searches, and zooms.
 * It only ever puts text into the page as text. */
(function () {
  const PITCH = 2.54, SVG = 'http://www.w3.org/2000/svg';
  const plan = JSON.parse(document.getElementById('plan').textContent);
  const all = (selector, from) => Array.from((from || document).querySelectorAll(selector));
  const byId = id => document.getElementById(id);
  const told = byId('told'), quiet = told.textContent;

  /* ---- holes ---- */

  function letters(strip) {
    let text = '';
    for (let n = strip + 1; n > 0; n = Math.floor((n - 1) / 26))
      text = String.fromCharCode(65 + (n - 1) % 26) + text;
    return text;
  }
  const holeName = (strip, column) => letters(strip) + (column + 1);
  function holeAt(name) {
    const found = /^([A-Z]{1,2})([0-9]{1,3})$/.exec(name);
    if (!found)
      return null;
    let strip = 0;
    for (const letter of found[1])
      strip = strip * 26 + letter.charCodeAt(0) - 64;
    const hole = {strip: strip - 1, column: found[2] - 1};
    return hole.strip < plan.strips && hole.column >= 0 && hole.column < plan.columns ? hole : null;
  }

  /* ---- what the plan says ---- */

  const leadIn = new Map(), cutAt = new Map(), linkEnd = new Map(), parts = new Map();
  for (const [ref, value, leads] of plan.parts) {
    parts.set(ref.toUpperCase(), {ref, value, leads});
    for (const [pin, hole, node] of leads)
      leadIn.set(hole, {ref, pin, node, wire: value === 'wire'});
  }
  plan.cuts.forEach(([hole, knife]) => { if (!knife) cutAt.set(hole, true); });
  plan.links.forEach((link, index) => {
    linkEnd.set(link[0], {link, index});
    linkEnd.set(link[1], {link, index});
  });
  function segmentOf(hole) {
    const at = holeAt(hole);
    return at && plan.segments.find(s => s[0] === at.strip && s[1] <= at.column && at.column <= s[2]);
  }
  const nodeName = n => 'node ' + n + (plan.names[n] ? ' ' + plan.names[n] : '');
  const copperName = s => holeName(s[0], s[1]) + '–' + holeName(s[0], s[2]);

  /* What to light: names of holes, references, nodes, marks of the drawing. */
  const nothing = () => ({holes: [], refs: [], nodes: [], marks: [], text: ''});

  function aboutNode(n) {
    const what = nothing(), pins = [], copper = [];
    what.nodes.push(n);
    for (const {ref, leads, value} of parts.values())
      for (const [pin, hole, node] of leads)
        if (node === n) {
          what.holes.push(hole);
          pins.push((value === 'wire' ? ref : ref + ' pin ' + pin) + ' in ' + hole);
        }
    for (const s of plan.segments)
      if (s[3] === n)
        copper.push(copperName(s));
    const links = plan.links.filter(link => link[2] === n);
    links.forEach(link => what.holes.push(link[0], link[1]));
    const name = nodeName(n);
    what.text = name[0].toUpperCase() + name.slice(1) + ': ' + pins.join(', ') + '. Copper ' + copper.join(', ') +
      (links.length ? '. Links ' + links.map(l => l[0] + '–' + l[1]).join(', ') : '') + '.';
    return what;
  }

  function aboutPart(part) {
    const what = nothing();
    what.refs.push(part.ref);
    what.holes = part.leads.map(lead => lead[1]);
    what.text = part.ref + (part.value ? ' ' + part.value : '') + ': ' + part.leads.map(([pin, hole, node]) =>
      (part.value === 'wire' ? '' : 'pin ' + pin + ' ') + 'in ' + hole + (node ? ' (' + nodeName(node) + ')' : '')).join(', ') + '.';
    return what;
  }

  function aboutHole(hole) {
    const lead = leadIn.get(hole), end = linkEnd.get(hole), segment = segmentOf(hole);
    const node = lead ? lead.node : segment ? segment[3] : 0;
    const what = node ? aboutNode(node) : nothing();
    what.chosen = hole;
    let text;
    if (cutAt.has(hole))
      text = 'cut, the hole is lost';
    else if (lead)
      text = (lead.wire ? 'wire ' + lead.ref : lead.ref + ' pin ' + lead.pin);
    else if (end)
      text = 'end of the link ' + end.link[0] + '–' + end.link[1];
    else
      text = segment && segment[3] ? 'free hole' : 'free hole, copper not used';
    if (lead)
      what.refs.push(lead.ref);
    if (end)
      what.marks.push('link-' + (end.index + 1));
    what.text = hole + ': ' + text + (node ? '. ' + what.text : '.');
    return what;
  }

  /* ---- lighting ---- */

  const sheets = all('.sheet-of-paper').map(box => {
    const svg = box.querySelector('svg'), layer = document.createElementNS(SVG, 'g');
    layer.setAttribute('class', 'light');
    svg.appendChild(layer);
    return {
      box, svg, layer, copper: box.hasAttribute('data-copper'), scroll: box.parentNode,
      x0: +box.dataset.x, y0: +box.dataset.y, wide: svg.viewBox.baseVal.width, high: svg.viewBox.baseVal.height,
      parts: all('[data-ref].part', svg), holes: all('[data-hole]', svg), marks: all('[data-step]', svg),
      nodes: all('[data-node]', svg)
    };
  });
  function place(sheet, hole) {
    const column = sheet.copper ? plan.columns - 1 - hole.column : hole.column;
    return {x: sheet.x0 + PITCH * column, y: sheet.y0 + PITCH * hole.strip};
  }
  function ring(sheet, name, style, radius) {
    const hole = holeAt(name);
    if (!hole)
      return;
    const at = place(sheet, hole), circle = document.createElementNS(SVG, 'circle');
    circle.setAttribute('cx', at.x);
    circle.setAttribute('cy', at.y);
    circle.setAttribute('r', radius);
    circle.setAttribute('class', style);
    circle.setAttribute('data-lights', name);
    sheet.layer.appendChild(circle);
  }
  function light(what) {
    const holes = new Set(what.holes), refs = new Set(what.refs), nodes = new Set(what.nodes), marks = new Set(what.marks);
    for (const sheet of sheets) {
      sheet.parts.forEach(e => e.classList.toggle('lit', refs.has(e.dataset.ref)));
      sheet.nodes.forEach(e => e.classList.toggle('lit', nodes.has(+e.dataset.node)));
      sheet.holes.forEach(e => { if (holes.has(e.dataset.hole)) e.classList.add('lit'); else if (!nodes.has(+e.dataset.node)) e.classList.remove('lit'); });
      sheet.marks.forEach(e => { if (marks.has(e.dataset.step)) e.classList.add('lit'); });
      sheet.layer.textContent = '';
      holes.forEach(name => ring(sheet, name, 'halo', 1.1));
      if (what.chosen)
        ring(sheet, what.chosen, 'chosen', 1.15);
    }
    told.textContent = what.text || quiet;
  }

  /* A step stays lit; what the pointer is on is lit meanwhile, what was tapped until the
   * next tap. */
  let current = null, kept = null, cursor = null;
  function aboutStep(step) {
    const what = nothing();
    if (step.dataset.holes)
      what.holes = step.dataset.holes.split(' ');
    if (step.dataset.part)
      what.refs.push(step.dataset.part);
    if (step.dataset.refs)
      step.dataset.refs.split(' ').forEach(ref => {
        const part = parts.get(ref.toUpperCase());
        if (part) {
          what.refs.push(part.ref);
          what.holes.push(...part.leads.map(lead => lead[1]));
        }
      });
    if (step.dataset.mark)
      what.marks.push(step.dataset.mark);
    const label = step.querySelector('label, th');
    what.text = label ? label.textContent : '';
    return what;
  }
  const settle = () => light(kept || (current ? aboutStep(current) : nothing()));
  function keep(what) {
    kept = what;
    settle();
  }

  const narrow = matchMedia('(max-width: 62rem)');
  const turn = byId('turn'), sides = document.querySelector('.sides');
  function showSide(copper) {
    sides.classList.toggle('turned', copper);
    turn.setAttribute('aria-pressed', String(copper));
  }
  function show(sheet, name) {
    const hole = holeAt(name);
    if (!hole || !sheet.scroll.clientWidth)
      return;
    const at = place(sheet, hole), scale = sheet.svg.clientWidth / sheet.wide, box = sheet.scroll;
    box.scrollLeft = at.x * scale - box.clientWidth / 2;
    box.scrollTop = at.y * scale - box.clientHeight / 2;
  }

  const steps = all('.step');
  function choose(step) {
    if (current)
      current.removeAttribute('aria-current');
    current = step;
    kept = null;
    if (step) {
      step.setAttribute('aria-current', 'step');
      const chapter = step.closest('.chapter');
      if (chapter)
        showSide(chapter.hasAttribute('data-copper'));
      size();
    }
    settle();
    if (step && step.dataset.holes)
      sheets.forEach(sheet => show(sheet, step.dataset.holes.split(' ')[0]));
  }

  /* ---- ticks ---- */

  const place_of_ticks = 'stripwright-guide-' + plan.hash;
  const boxes = all('.tickbox'), progress = byId('progress');
  let remembers = true;
  function load() {
    try {
      return new Set(JSON.parse(localStorage.getItem(place_of_ticks) || '[]'));
    } catch (refused) {
      remembers = false;
      return new Set();
    }
  }
  function store() {
    try {
      localStorage.setItem(place_of_ticks, JSON.stringify(boxes.filter(b => b.checked).map(b => b.closest('.step').dataset.key)));
    } catch (refused) {
      remembers = false;
    }
  }
  const inWork = boxes.filter(box => box.closest('#steps'));
  function count() {
    const done = inWork.filter(box => box.checked).length;
    progress.firstChild.textContent = done + ' of ' + inWork.length + ' steps done' +
      (remembers ? '.' : '. This browser does not let the page remember ticks.');
    byId('meter').value = done;
    for (const chapter of all('.chapter')) {
      const inside = all('.tickbox', chapter);
      chapter.querySelector('.count').textContent = inside.filter(b => b.checked).length + ' of ' + inside.length;
    }
    boxes.forEach(box => box.closest('.step').classList.toggle('done', box.checked));
  }
  const nextToDo = from => inWork.slice(from).find(box => !box.checked);
  function ticked(box) {
    store();
    count();
    const at = inWork.indexOf(box);
    if (box.checked && at >= 0) {
      const next = nextToDo(at) || nextToDo(0);
      choose(next ? next.closest('.step') : null);
      if (!next)
        told.textContent = 'All steps are done.';
    }
  }
  function prepareTicks() {
    const ticks = load(), line = document.createTextNode(''), meter = document.createElement('meter');
    const clear = document.createElement('button');
    meter.id = 'meter';
    meter.max = inWork.length;
    meter.setAttribute('aria-hidden', 'true');
    clear.type = 'button';
    clear.id = 'clear';
    clear.textContent = 'Begin again';
    progress.append(line, meter);
    progress.after(clear);
    boxes.forEach((box, index) => {
      box.checked = ticks.has(box.closest('.step').dataset.key);
      box.addEventListener('change', () => ticked(box));
      box.addEventListener('keydown', event => {
        const way = event.key === 'ArrowDown' ? 1 : event.key === 'ArrowUp' ? -1 : 0;
        if (!way || !boxes[index + way])
          return;
        event.preventDefault();
        boxes[index + way].focus();
      });
    });
    clear.addEventListener('click', () => {
      if (!confirm('Take all ticks of this plan away?'))
        return;
      boxes.forEach(box => { box.checked = false; });
      store();
      count();
      choose(null);
    });
    count();
  }

  /* ---- pointing, tapping, keys ---- */

  function holeUnder(sheet, event) {
    const box = sheet.svg.getBoundingClientRect(), scale = sheet.wide / box.width;
    let column = Math.round(((event.clientX - box.left) * scale - sheet.x0) / PITCH);
    const strip = Math.round(((event.clientY - box.top) * scale - sheet.y0) / PITCH);
    if (sheet.copper)
      column = plan.columns - 1 - column;
    return strip >= 0 && strip < plan.strips && column >= 0 && column < plan.columns ? holeName(strip, column) : '';
  }
  /* A lead, link or cut before a part, a part before a node's number, else the hole. */
  function aboutPoint(sheet, event) {
    const hole = holeUnder(sheet, event), at = event.target;
    if (hole && (leadIn.has(hole) || cutAt.has(hole) || linkEnd.has(hole)))
      return aboutHole(hole);
    const part = at.closest('.part'), number = at.closest('text[data-node]');
    if (part && parts.has(part.dataset.ref.toUpperCase()))
      return aboutPart(parts.get(part.dataset.ref.toUpperCase()));
    if (number)
      return aboutNode(+number.dataset.node);
    return hole ? aboutHole(hole) : null;
  }
  function moveCursor(sheet, event) {
    const ways = {ArrowLeft: [0, -1], ArrowRight: [0, 1], ArrowUp: [-1, 0], ArrowDown: [1, 0]}, way = ways[event.key];
    if (!way)
      return false;
    const step = sheet.copper ? -way[1] : way[1];
    const at = cursor || {strip: way[0] > 0 ? -1 : 0, column: step > 0 ? -1 : 0};
    cursor = {strip: Math.max(0, Math.min(plan.strips - 1, at.strip + way[0])),
              column: Math.max(0, Math.min(plan.columns - 1, at.column + step))};
    const name = holeName(cursor.strip, cursor.column);
    light(aboutHole(name));
    sheets.forEach(one => show(one, name));
    return true;
  }
  let under = ''; /* what the pointer was on last: a large board is not lit anew at every move */
  for (const sheet of sheets) {
    sheet.box.addEventListener('pointermove', event => {
      const what = event.pointerType === 'touch' ? null : aboutPoint(sheet, event), text = what ? what.text : '';
      if (text === under)
        return;
      under = text;
      if (what)
        light(what);
      else
        settle();
    });
    sheet.box.addEventListener('pointerleave', () => {
      under = '';
      settle();
    });
    sheet.box.addEventListener('click', event => keep(aboutPoint(sheet, event)));
    sheet.scroll.addEventListener('keydown', event => {
      if (moveCursor(sheet, event))
        event.preventDefault();
      else if (event.key === 'Enter' && cursor)
        keep(aboutHole(holeName(cursor.strip, cursor.column)));
      else if (event.key === 'Escape')
        keep(null);
    });
    sheet.scroll.addEventListener('blur', settle);
  }
  for (const row of all('.step, tr[data-holes]')) {
    row.addEventListener('pointerenter', event => { if (event.pointerType !== 'touch') light(aboutStep(row)); });
    row.addEventListener('pointerleave', settle);
    row.addEventListener('focusin', () => choose(row));
    row.addEventListener('click', () => choose(row));
  }
  for (const button of all('[data-of-node]')) {
    const what = () => aboutNode(+button.dataset.ofNode), row = button.closest('tr');
    row.addEventListener('pointerenter', event => { if (event.pointerType !== 'touch') light(what()); });
    row.addEventListener('pointerleave', settle);
    button.addEventListener('focus', () => light(what()));
    button.addEventListener('blur', settle);
    row.addEventListener('click', () => keep(what()));
  }

  /* ---- search ---- */

  function together(found) {
    const what = nothing();
    for (const part of found) {
      what.refs.push(part.ref);
      what.holes.push(...part.leads.map(lead => lead[1]));
    }
    what.text = found.map(part => part.ref + (part.value ? ' ' + part.value : '')).join(', ') + '.';
    return what;
  }
  function search(text) {
    const word = text.trim().toUpperCase();
    if (!word)
      return null;
    const stated = /^(HOLE|NODE) +(.+)$/.exec(word);
    if (stated && stated[1] === 'HOLE' && holeAt(stated[2]))
      return aboutHole(stated[2]);
    if (!stated && parts.has(word)) {
      const what = aboutPart(parts.get(word));
      if (holeAt(word))
        what.text += ' (For the hole, type: hole ' + word + '.)';
      return what;
    }
    if (!stated && holeAt(word))
      return aboutHole(word);
    const wanted = stated ? stated[2] : word, number = /^[0-9]+$/.test(wanted) ? +wanted : 0;
    const nodes = new Set(plan.segments.map(s => s[3]));
    const named = Object.keys(plan.names).find(n => plan.names[n].toUpperCase() === wanted);
    if (named && nodes.has(+named) && (!number || !stated))
      return aboutNode(+named);
    if (number && nodes.has(number))
      return aboutNode(number);
    const begun = Array.from(parts.values()).filter(part => part.ref.toUpperCase().startsWith(word));
    if (begun.length)
      return together(begun);
    const what = nothing();
    what.text = 'Nothing is called ' + text.trim() + '.';
    return what;
  }
  const find = byId('find');
  find.addEventListener('input', () => {
    const what = search(find.value);
    keep(what);
    if (what && what.holes.length)
      sheets.forEach(sheet => show(sheet, what.chosen || what.holes[0]));
  });
  find.addEventListener('keydown', event => {
    if (event.key === 'Escape') {
      find.value = '';
      keep(null);
    }
  });

  /* ---- size and side ---- */

  let zoom = 0, whole = false; /* zoom: px a mm; 0: by the room there is */
  function sizeOf(sheet) {
    const across = sheet.scroll.clientWidth / sheet.wide;
    if (zoom)
      return zoom;
    if (whole)
      return across;
    const high = narrow.matches ? across : (innerHeight - 210) / 2 / sheet.high; /* both under each other */
    return Math.max(4.5, Math.min(12, across, high));
  }
  function size() {
    for (const sheet of sheets.filter(one => one.scroll.clientWidth)) {
      const scale = sizeOf(sheet);
      sheet.svg.style.width = sheet.wide * scale + 'px';
      sheet.svg.style.height = sheet.high * scale + 'px';
    }
  }
  function larger(by) {
    const shown = sheets.find(sheet => sheet.svg.clientWidth);
    if (!shown)
      return;
    zoom = Math.max(2, Math.min(40, shown.svg.clientWidth / shown.wide * by));
    size();
    const what = kept || (current && aboutStep(current));
    if (what && what.holes.length)
      sheets.forEach(sheet => show(sheet, what.holes[0]));
  }
  byId('larger').addEventListener('click', () => larger(1.3));
  byId('smaller').addEventListener('click', () => larger(1 / 1.3));
  byId('fit').addEventListener('click', () => { zoom = 0; whole = true; size(); });
  turn.addEventListener('click', () => {
    showSide(turn.getAttribute('aria-pressed') !== 'true');
    size();
  });
  const hide = byId('hide');
  hide.addEventListener('click', () => {
    const hidden = byId('drawings').classList.toggle('folded');
    hide.setAttribute('aria-expanded', String(!hidden));
    hide.textContent = hidden ? 'Show' : 'Hide';
    size();
  });
  all('.buttons').forEach(e => { e.hidden = false; });
  document.body.classList.add('scripted');
  addEventListener('resize', size);
  narrow.addEventListener('change', size);
  const signs = document.querySelector('.signs');
  let opened = false;
  addEventListener('beforeprint', () => {
    opened = signs.open;
    signs.open = true;
    light(nothing());
  });
  addEventListener('afterprint', () => {
    signs.open = opened;
    settle();
  });
  prepareTicks();
  size();
  const first = nextToDo(0);
  if (first && inWork.some(box => box.checked))
    choose(first.closest('.step'));
}());
//]]>
