// The page shows what brink sends, ten times a second, and says when nothing comes any more. It asks for nothing else.
'use strict';

const GONE_MS = 1500; // without a state: then the connection is gone
const RETRY_MS = 1000;
const STEADY_MS = 400; // a key that has just changed is not taken: the thumb was for the one before
const id = name => document.getElementById(name);

function element(tag, text, kind) {
  const made = document.createElement(tag);
  if (text !== undefined) made.textContent = text;
  if (kind) made.className = kind;
  return made;
}

// Puts `make()` in the place of what `parent` holds, but only when `key` is another one than last time.
function renew(parent, key, make) {
  const words = JSON.stringify(key);
  if (parent.shown === words) return;
  parent.shown = words;
  parent.replaceChildren(...make());
}

// --- What is shown ---

const SHAPES = { building: '\u25B2', ringing: '\u25CF', fading: '\u25BC', gone: '\u2715', withdrawn: '\u2715' };
const BOTTOM_DBFS = -60, MARK_DBFS = -12; // -12 dBFS is the usual mark (common practice)

function levelRow(level, isAlone) {
  const row = element('div', undefined, 'level');
  if (level.clips) row.classList.add('is-clipped');
  else if (level.peak_dbfs !== null && level.peak_dbfs > MARK_DBFS) row.classList.add('is-hot');
  const bar = element('meter-bar'), part = element('i');
  const share = level.peak_dbfs === null ? 0 : Math.min(1, Math.max(0, 1 - level.peak_dbfs / BOTTOM_DBFS));
  part.style.width = (100 * share).toFixed(1) + '%';
  bar.append(part);
  if (!isAlone) row.append(element('b', level.name || level.tap));
  row.append(bar, element('span', level.clips ? 'clips' : level.peak_dbfs === null ? 'no signal' : level.peak_dbfs.toFixed(0) + ' dBFS'));
  return row;
}

function ringRow(ring) {
  const row = element('li', undefined, 'ring ' + ring.state);
  row.append(element('strong', ring.frequency));
  if (ring.cut) { // a line breaks between frequency, Q and depth, and nowhere else
    const cut = element('b');
    cut.append(...ring.cut.split('  ').flatMap(part => [element('span', part), ' ']));
    row.append(cut);
  }
  for (const band of ring.bands) row.append(element('em', band));
  row.append(element('small', [SHAPES[ring.state] + ' ' + ring.state, ring.growth, ring.level].filter(Boolean).join('  ')));
  const about = [ring.note, ring.where].filter(Boolean).join(', ');
  if (about) row.append(element('em', about));
  return row;
}

function showRound(round) {
  id('round').hidden = !round;
  if (!round) return;
  id('output').textContent = round.output;
  id('heading').textContent = round.heading;
  id('instruction').textContent = round.instruction;
  id('facts').textContent = round.facts.join(', ');
  renew(id('rounds'), round.rounds, () => round.rounds.map(one => {
    const row = element('li');
    row.append(element('span', one.cut), element('span', one.check));
    return row;
  }));
}

function show(state) {
  renew(id('levels'), state.levels, () => state.levels.map(level => levelRow(level, state.levels.length === 1)));
  id('source').textContent = state.source;
  id('trouble').hidden = !state.trouble;
  id('trouble').textContent = state.trouble;
  id('down').hidden = !state.down;
  id('down').textContent = state.down;
  renew(id('rings'), [state.rings, state.quiet], () =>
    state.rings.length ? state.rings.map(ringRow) : [element('li', state.quiet, 'quiet')]);
  showRound(state.round);
  showKeys(state);
  points = state.map;
  moveTrails();
  drawMap();
}

// --- The map: log frequency to the right, growth upwards, the brink a line in the middle ---

const LOWEST_HZ = 40, HIGHEST_HZ = 20000, EVEN_DB_PER_S = 5, MOST_DB_PER_S = 200, TRAIL = 12;
const trails = new Map();
let points = [];

function mapX(hz) { return Math.log(hz / LOWEST_HZ) / Math.log(HIGHEST_HZ / LOWEST_HZ); }

function mapY(growth) {
  const share = 0.5 - 0.5 * Math.asinh(growth / EVEN_DB_PER_S) / Math.asinh(MOST_DB_PER_S / EVEN_DB_PER_S);
  return Math.min(0.97, Math.max(0.03, share));
}

// Where each ring has been in the last moments.
function moveTrails() {
  const present = new Set();
  for (const [track, hz, growth, state] of points) {
    if (!state) continue;
    present.add(track);
    trails.set(track, [...(trails.get(track) || []), [hz, growth]].slice(-TRAIL));
  }
  for (const track of trails.keys()) if (!present.has(track)) trails.delete(track);
}

function drawMark(pen, state, x, y, r) {
  pen.beginPath();
  if (state === 'building') { pen.moveTo(x, y - r); pen.lineTo(x + r, y + r); pen.lineTo(x - r, y + r); }
  else if (state === 'fading') { pen.moveTo(x, y + r); pen.lineTo(x + r, y - r); pen.lineTo(x - r, y - r); }
  else pen.arc(x, y, r, 0, 7);
  pen.fill();
}

function drawMap() {
  const canvas = id('map'), scale = window.devicePixelRatio || 1;
  const width = canvas.clientWidth, height = canvas.clientHeight;
  if (canvas.width !== Math.round(width * scale) || canvas.height !== Math.round(height * scale)) {
    canvas.width = Math.round(width * scale);
    canvas.height = Math.round(height * scale);
  }
  const style = getComputedStyle(document.documentElement), colour = name => style.getPropertyValue('--' + name);
  const pen = canvas.getContext('2d');
  pen.setTransform(scale, 0, 0, scale, 0, 0);
  pen.clearRect(0, 0, width, height);
  const names = 18, plot = height - names;
  pen.fillStyle = colour('over');
  pen.fillRect(0, 0, width, plot / 2);
  pen.lineWidth = 1;
  pen.font = '14px system-ui, sans-serif';
  for (const [hz, name] of [[63, '63'], [250, '250'], [1000, '1k'], [4000, '4k'], [16000, '16k']]) {
    const x = mapX(hz) * width;
    pen.strokeStyle = colour('grid');
    pen.beginPath(); pen.moveTo(x, 0); pen.lineTo(x, plot); pen.stroke();
    pen.fillStyle = colour('quiet');
    pen.textAlign = x > width - 20 ? 'right' : 'center';
    pen.fillText(name, Math.min(x, width - 2), height - 4);
  }
  pen.strokeStyle = pen.fillStyle = colour('ink');
  pen.lineWidth = 2;
  pen.beginPath(); pen.moveTo(0, plot / 2); pen.lineTo(width, plot / 2); pen.stroke();
  pen.textAlign = 'left';
  pen.fillText('the brink', 6, plot / 2 - 6);
  pen.fillStyle = colour('quiet');
  pen.fillText('grows', 6, 16);
  pen.fillText('dies away', 6, plot - 6);
  for (const [track, hz, growth, state] of points) {
    const x = mapX(hz) * width, y = mapY(growth) * plot;
    if (!state) {
      pen.strokeStyle = colour('quiet');
      pen.lineWidth = 1.5;
      pen.beginPath(); pen.arc(x, y, 3, 0, 7); pen.stroke();
      continue;
    }
    pen.strokeStyle = pen.fillStyle = colour(state);
    pen.lineWidth = 3;
    pen.beginPath();
    for (const [a, b] of trails.get(track)) pen.lineTo(mapX(a) * width, mapY(b) * plot);
    pen.stroke();
    drawMark(pen, state, x, y, 8);
  }
}

new ResizeObserver(drawMap).observe(id('map'));

// --- Keys, where brink gives any ---

let keysSince = 0;

function showKeys(state) {
  id('answer').textContent = state.answer;
  renew(id('keys'), state.keys, () => {
    keysSince = performance.now();
    return state.keys.map(key => {
      const button = element('button', key.word);
      button.type = 'button';
      button.append(element('span', key.about));
      button.addEventListener('click', () => press(button, key.name));
      return button;
    });
  });
}

async function press(button, name) {
  if (performance.now() - keysSince < STEADY_MS) return;
  button.disabled = true;
  try {
    const answer = await fetch('key/' + encodeURIComponent(name), { method: 'POST', cache: 'no-store' });
    id('answer').textContent = answer.status === 204 ? '' : 'Not done: it is not on offer any more.';
  } catch {
    id('answer').textContent = 'Not done: the connection is gone.';
  }
  // brink's next state has other keys. When it has the same ones, it may be tried again.
  setTimeout(() => { button.disabled = false; }, RETRY_MS);
}

// --- The connection ---

let lastState = -Infinity, tried = -Infinity, asking = null, refusal = '';

function refusalWords(status) {
  if (status === 404) return 'brink does not know this address any more. Scan its code again.';
  if (status === 503) return 'Eight others read this page already. Close it on one of them.';
  return '';
}

async function listen() {
  tried = performance.now();
  asking = new AbortController();
  try {
    const answer = await fetch('states', { signal: asking.signal, cache: 'no-store' });
    refusal = refusalWords(answer.status);
    if (!answer.ok) return;
    const reader = answer.body.getReader(), text = new TextDecoder();
    let waiting = '';
    for (;;) {
      const { done, value } = await reader.read();
      if (done) return;
      waiting += text.decode(value, { stream: true });
      const messages = waiting.split('\n\n');
      waiting = messages.pop();
      if (!messages.length) continue;
      lastState = performance.now();
      look();
      show(JSON.parse(messages[messages.length - 1].slice('data: '.length))); // only the newest counts
    }
  } catch {
    // Gone, or given up: the look below says so and tries again.
  } finally {
    asking = null;
  }
}

function look() {
  const now = performance.now(), quiet = now - lastState;
  document.body.classList.toggle('is-live', quiet < GONE_MS);
  if (quiet < GONE_MS) return;
  id('link').textContent = refusal || (lastState < 0 ? 'Looking for brink ...' :
    'Connection gone. What you see is ' + Math.round(quiet / 1000) + ' s old.');
  if (now - tried < RETRY_MS || document.hidden) return;
  if (asking) { if (now - tried > 3 * RETRY_MS) asking.abort(); return; }
  listen();
}

document.addEventListener('visibilitychange', () => {
  // What nobody sees holds no place among the readers.
  if (document.hidden && asking) asking.abort();
  look();
});
setInterval(look, 200);
listen();
