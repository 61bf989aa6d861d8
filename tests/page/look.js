// What the page says of its own look: text that is faint or cut off, keys that are too small. `window.least` has the limits.
(() => {
  const numbers = text => text.match(/[\d.]+/g).map(Number);
  const light = rgb => {
    const [r, g, b] = rgb.slice(0, 3).map(v => v / 255).map(v => v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const behind = e => {
    for (; e; e = e.parentElement) {
      const c = numbers(getComputedStyle(e).backgroundColor);
      if (c.length < 4 || c[3] > 0) return c;
    }
    return [255, 255, 255];
  };
  const found = { texts: 0, faint: [], wide: [], small: [], keys: 0, sizes: {} };
  for (const e of document.querySelectorAll('body, body *')) {
    const box = e.getBoundingClientRect();
    if (box.width < 1 || box.height < 1 || getComputedStyle(e).visibility === 'hidden') continue;
    if (box.right > innerWidth + 0.5) found.wide.push(e.tagName + ' ' + e.textContent.slice(0, 30));
    if (e.tagName === 'BUTTON') {
      ++found.keys;
      if (box.width < 48 || box.height < 48) found.small.push(box.width + ' x ' + box.height);
    }
    if (![...e.childNodes].some(n => n.nodeType === 3 && n.textContent.trim())) continue;
    ++found.texts;
    const a = light(numbers(getComputedStyle(e).color)), b = light(behind(e));
    const contrast = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
    if (contrast < 4.5) found.faint.push(contrast.toFixed(2) + ' ' + e.textContent.slice(0, 30));
  }
  for (const name of ['.ring strong', '.ring b', '#instruction', '.level span', '#link'])  {
    const e = document.querySelector(name);
    if (e) found.sizes[name] = parseFloat(getComputedStyle(e).fontSize);
  }
  found.scroll = document.documentElement.scrollWidth;
  found.dark = matchMedia('(prefers-color-scheme: dark)').matches;
  return found;
})()
