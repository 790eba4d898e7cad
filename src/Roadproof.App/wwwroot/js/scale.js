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
    const rough = (hi - lo) / Math.max(1, most), size = 10 ** Math.floor(Math.log10(rough)), steps = [.1, .2, .5, 1, 2, 5, 10].map(k => k * size), at = step => {
      const out = [];
      for (let t = Math.ceil(lo / step) * step; t <= hi + step * 1e-9; t += step) out.push(Math.abs(t) < step * 1e-9 ? 0 : t);
      return out;
    };
    // A low drawing has room for two figures at least: one alone gives no scale.
    let k = steps.findIndex(s => s >= rough * (1 - 1e-9));
    while (k > 0 && at(steps[k]).length < 2) k--;
    return at(steps[k]);
  },

  /** What is held beside each run on the page, by the id of its drawing: another run, and a band of other units. A drawing that changes it says so by the event besidechange. */
  beside: new Map(),

  /** Runs that a band is asked for, one after another: a few first, so that there is something to see. */
  bandSteps: [8, 20, 40],

  /** The places between the edges of a band, piece by piece where some have none: an area, its edges and its middle. */
  band(draw2d, b, X, Y) {
    const here = b.lower.map((v, i) => i).filter(i => b.lower[i] !== null), pieces = [];
    for (const i of here) if (pieces.at(-1)?.at(-1) === i - 1) pieces.at(-1).push(i); else pieces.push([i]);
    const line = (piece, values) => { draw2d.beginPath(); for (const i of piece) draw2d.lineTo(X(i), Y(values[i])); };
    for (const piece of pieces) {
      line(piece, b.upper); for (const i of piece.toReversed()) draw2d.lineTo(X(i), Y(b.lower[i])); draw2d.closePath();
      draw2d.fillStyle = Scale.css('--band'); draw2d.globalAlpha = .55; draw2d.fill(); draw2d.globalAlpha = 1;
      draw2d.strokeStyle = Scale.css('--rule-2'); draw2d.lineWidth = 1; draw2d.setLineDash([]);
      for (const edge of [b.lower, b.upper]) { line(piece, edge); draw2d.stroke(); }
      draw2d.setLineDash([2, 3]); line(piece, b.median); draw2d.stroke(); draw2d.setLineDash([]);
    }
  },

  /** What a band is made of, in words. */
  bandWords(b) {
    const time = at => at.slice(11, 16), day = at => at.slice(0, 10), until = day(b.from) === day(b.to) ? `${day(b.from)} ${time(b.from)} to ${time(b.to)}` : `${day(b.from)} ${time(b.from)} to ${day(b.to)} ${time(b.to)}`;
    const edges = b.share > .899 ? 'From the 5 % to the 95 % place' : `From the least to the greatest: the next such run lies within at a place in ${Math.round(100 * b.share)} of 100; from 19 runs on the edges are the 5 % and 95 % places`;
    return `${b.word}: ${b.runs} of ${b.atHand} units${b.stoppedToo ? '' : ' that passed'}, ${until}, one run of each, the nearest in time, 40 at most. ${edges}; dotted, the median.${b.warnings.length ? ` ${b.warnings.join(' ')}` : ''}`;
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
