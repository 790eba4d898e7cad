// What the drawings of a run share: axes, figures and the theme's colours.
window.Scale = {
  css: name => getComputedStyle(document.documentElement).getPropertyValue(name).trim(),
  clamp: (x, a, b) => Math.min(b, Math.max(a, x)),

  /** Four digits, a true minus sign. */
  figure: v => String(+v.toPrecision(4)).replace('-', '\u2212'),

  /** As many decimals as the uncertainty carries: the place of its first digit. */
  within(v, u) {
    const smallest = u > 0 ? u : Math.abs(v) / 2000;
    return (smallest > 0 ? v.toFixed(Scale.clamp(Math.ceil(-Math.log10(smallest) - 1e-9), 0, 6)) : String(v)).replace('-', '\u2212');
  },

  count: n => n.toLocaleString('en').replace(/,/g, '\u202f'),

  ticks(lo, hi, most) {
    const rough = (hi - lo) / Math.max(1, most), size = 10 ** Math.floor(Math.log10(rough)), step = [1, 2, 5, 10].map(k => k * size).find(s => s >= rough) ?? size * 10, out = [];
    for (let t = Math.ceil(lo / step) * step; t <= hi + step * 1e-9; t += step) out.push(Math.abs(t) < step * 1e-9 ? 0 : t);
    return out;
  },

  /** Asks a door; what it refuses is thrown in its own words. */
  async ask(path, signal) {
    const answer = await fetch(path, { signal });
    if (answer.ok) return answer.json();
    const said = await answer.json().catch(() => null);
    throw new Error(said?.title ? `${said.title}${said.status === 409 && said.detail ? ` ${said.detail}` : ''}` : `The line did not answer (${answer.status}).`);
  },

  /** A table of text: heads, then rows whose first cell names them. */
  table(caption, heads, rows) {
    const make = (name, text, more = {}) => Object.assign(document.createElement(name), { textContent: text, ...more }), table = make('table', '', { className: 'means' });
    table.append(make('caption', caption, { className: 'vh' }));
    const head = table.createTHead().insertRow(), body = table.createTBody();
    heads.forEach((h, i) => head.append(make('th', h, { scope: 'col', className: i ? 'r' : '' })));
    for (const cells of rows) { const row = body.insertRow(); cells.forEach((c, i) => row.append(i ? make('td', c, { className: 'r' }) : make('th', c, { scope: 'row' }))); }
    return table;
  },
};
