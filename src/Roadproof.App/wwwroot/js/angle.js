// A run over a shaft's angle: one turn with the band of its turns, the orders at one load point, and the orders of the rotor over its speed. The server computes both; nothing is asked before it is opened.
(() => {
  const { css, clamp, figure, ticks } = Scale;

  for (const fold of document.querySelectorAll('details[data-turn]')) opened(fold, () => turn(fold, JSON.parse(fold.dataset.turn)));
  for (const fold of document.querySelectorAll('details[data-order-line]')) opened(fold, () => orderLine(fold, JSON.parse(fold.dataset.orderLine)));
  for (const fold of document.querySelectorAll('details[data-order-map]')) opened(fold, () => orderMap(fold, JSON.parse(fold.dataset.orderMap)));

  function opened(fold, start) { fold.addEventListener('toggle', function once() { if (fold.open) { fold.removeEventListener('toggle', once); start(); } }); }

  const spoken = point => point.replace(/-/g, ' ');
  const door = (plan, what, q) => `/api/v1/units/${encodeURIComponent(plan.unit)}/load-tests/${plan.attempt}/${what}?${new URLSearchParams(q)}`;

  function paper(canvas, redraw) {
    const draw2d = canvas.getContext('2d');
    addEventListener('themechange', redraw);
    new ResizeObserver(redraw).observe(canvas); document.fonts?.ready.then(redraw);
    return {
      draw2d,
      clear() { const d = devicePixelRatio || 1, W = canvas.clientWidth, H = canvas.clientHeight; canvas.width = W * d; canvas.height = H * d; draw2d.setTransform(d, 0, 0, d, 0, 0); draw2d.textBaseline = 'middle'; return [W, H]; },
      write(text, x, y, align = 'left', colour = css('--ink-2'), weight = '400', size = 14) { draw2d.font = `${weight} ${size}px ${css('--lettering')}`; draw2d.textAlign = align; draw2d.fillStyle = colour; draw2d.fillText(text, x, y); },
      line(x1, y1, x2, y2, colour, width = 1, dash = []) { draw2d.strokeStyle = colour; draw2d.lineWidth = width; draw2d.setLineDash(dash); draw2d.beginPath(); draw2d.moveTo(x1, y1); draw2d.lineTo(x2, y2); draw2d.stroke(); draw2d.setLineDash([]); },
    };
  }

  // Asks again whenever a choice changes; an older answer never overtakes a newer one.
  function asking(fold, ask, show) {
    let running = null;
    const run = async () => {
      running?.abort();
      running = new AbortController();
      const signal = running.signal;
      show(null, '');
      try { show(await ask(signal), ''); } catch (e) { if (e.name !== 'AbortError') show(null, e.message); }
    };
    for (const choice of fold.querySelectorAll('select')) choice.addEventListener('change', run);
    run();
  }

  // Another run and a band of other units, as they are held beside the traces of the same run; asked again when either changes there or a choice changes here.
  function besides(fold, id, ask, show) {
    let running = null;
    const run = async () => {
      running?.abort();
      running = new AbortController();
      const signal = running.signal, { other, band } = Scale.beside.get(id) ?? {};
      const now = { words: band || other ? ['The other runs are read.'] : [] };
      show(now);
      now.words = [];
      const laying = other && (async () => { try { now.other = await ask.other(other, signal); now.words.push(`Dashed: ${other.name}.`); } catch (e) { now.words.push(`${other.name}: ${e.message}`); } })();
      for (const runs of band ? Scale.bandSteps : []) {
        try { now.band = await ask.band({ ...band, runs }, signal); now.said = Scale.bandWords(now.band); } catch (e) { now.said = e.message; }
        if (signal.aborted) return;
        show({ ...now, words: [now.said, ...now.words] });
        if (now.band?.atHand <= runs) break;
      }
      await laying;
      if (!signal.aborted) show({ ...now, words: [...now.said ? [now.said] : [], ...now.words] });
    };
    document.addEventListener('besidechange', e => { if (e.detail === id && fold.open) run(); });
    fold.addEventListener('toggle', () => { if (fold.open) run(); });
    for (const choice of fold.querySelectorAll('select')) choice.addEventListener('change', run);
    run();
  }

  const idOf = fold => fold.id.replace(/-(turn|orders|order-line)$/, '');

  // Every named order is a tick; a name stands where it has room, those of bearings last.
  function namedTicks({ draw2d, write, line }, named, X, top, bottom) {
    const written = [];
    for (const o of named.toSorted((a, b) => a.name.includes('bearing') - b.name.includes('bearing'))) {
      const x = X(o.order);
      line(x, top - 8, x, top - 2, css('--ink'), 1.5);
      line(x, top, x, bottom, css('--rule-2'), 1, [2, 5]);
      if (written.some(other => Math.abs(other - x) < 24)) continue;
      draw2d.save(); draw2d.translate(x, top - 12); draw2d.rotate(-Math.PI / 5); write(o.name, 0, 0, 'left', css('--ink-2'), '400', 13); draw2d.restore();
      written.push(x);
    }
  }

  function orderAxis({ write, line }, end, X, left, right, bottom, height) {
    for (const o of ticks(0, end, right - left < 400 ? 5 : 12)) { line(X(o), bottom, X(o), bottom + 5, css('--rule-2')); write(figure(o), clamp(X(o), left, right - 10), bottom + 15, 'center', css('--ink-3')); }
    write('order, per turn of the rotor', right, height - 8, 'right', css('--ink-2'));
  }

  function said(fold, list) { fold.querySelector('.warnings').replaceChildren(...list.map(w => Object.assign(document.createElement('li'), { textContent: w }))); }

  function turn(fold, plan) {
    const LEFT = 84, RIGHT = 12, TOP = 14, BOTTOM = 40, canvas = fold.querySelector('canvas'), output = fold.querySelector('output'), [channel, shaft, point] = ['channel', 'shaft', 'point'].map(n => fold.querySelector(`[name=${n}]`));
    let t = null, problem = '', place = null, beside = {};
    const { draw2d, clear, write, line } = paper(canvas, redraw);
    function redraw() { requestAnimationFrame(paint); }

    function paint() {
      const [W, H] = clear();
      if (!W) return;
      if (!t) { write(problem || 'The turns are laid over each other …', LEFT, H / 2, 'left', problem ? css('--fail') : css('--ink-2'), '500', 16); return; }
      const n = t.mean.length, R = W - RIGHT, X = p => LEFT + p / n * (R - LEFT);
      const { band: under, other } = beside;
      let lo = Math.min(...t.minimum, ...other?.mean ?? [], ...under?.lower ?? []), hi = Math.max(...t.maximum, ...other?.mean ?? [], ...under?.upper ?? []);
      const pad = Math.max((hi - lo) * .06, 1e-9); lo -= pad; hi += pad;
      const Y = v => H - BOTTOM - (v - lo) / (hi - lo) * (H - TOP - BOTTOM);
      for (const v of ticks(lo, hi, 6)) { line(LEFT, Math.round(Y(v)) + .5, R, Math.round(Y(v)) + .5, css('--rule')); write(figure(v), LEFT - 8, Y(v), 'right', css('--ink-3')); }
      for (let a = 0; a <= 360; a += W < 600 ? 90 : 45) { line(X(a / 360 * n), H - BOTTOM, X(a / 360 * n), H - BOTTOM + 5, css('--rule-2')); write(`${a}°`, clamp(X(a / 360 * n), LEFT + 4, R - 14), H - BOTTOM + 16, 'center', css('--ink-3')); }
      write(t.unit, 0, TOP + 4, 'left', css('--ink-3'));

      // The place after the last one is the first one again.
      const at = (values, p) => values[p % n], band = (low, high, alpha) => {
        draw2d.beginPath(); for (let p = 0; p <= n; p++) draw2d.lineTo(X(p), Y(high(p))); for (let p = n; p >= 0; p--) draw2d.lineTo(X(p), Y(low(p))); draw2d.closePath();
        draw2d.fillStyle = css('--ink'); draw2d.globalAlpha = alpha; draw2d.fill(); draw2d.globalAlpha = 1;
      };
      if (under) {
        // The place after the last one is the first one again: the band is drawn once round.
        const round = { lower: [...under.lower, under.lower[0]], median: [...under.median, under.median[0]], upper: [...under.upper, under.upper[0]] };
        Scale.band(draw2d, round, p => LEFT + p / under.at.length * (R - LEFT), Y);
      }
      else band(p => at(t.minimum, p), p => at(t.maximum, p), .1); // with another band under it a third is one too many
      band(p => at(t.mean, p) - at(t.standardDeviation, p), p => at(t.mean, p) + at(t.standardDeviation, p), .22);
      draw2d.strokeStyle = css('--ink'); draw2d.lineWidth = 1.6; draw2d.lineJoin = 'round'; draw2d.beginPath(); for (let p = 0; p <= n; p++) draw2d.lineTo(X(p), Y(at(t.mean, p))); draw2d.stroke();
      if (other) { draw2d.strokeStyle = css('--accent'); draw2d.setLineDash([5, 3]); draw2d.beginPath(); for (let p = 0; p <= other.mean.length; p++) draw2d.lineTo(LEFT + p / other.mean.length * (R - LEFT), Y(other.mean[p % other.mean.length])); draw2d.stroke(); draw2d.setLineDash([]); }
      if (place !== null) { line(X(place), TOP, X(place), H - BOTTOM, css('--accent'), 1.5); draw2d.fillStyle = css('--accent'); draw2d.beginPath(); draw2d.arc(X(place), Y(t.mean[place]), 4, 0, 7); draw2d.fill(); }
    }

    function tell() {
      output.textContent = !t ? '' : place === null
        ? `${t.turns} ${t.turns === 1 ? 'turn' : 'turns'} of the ${t.shaft} at ${figure(t.speedRadPerS * 30 / Math.PI)} rpm, ${t.fromS.toFixed(2)} to ${t.toS.toFixed(2)} s${t.point ? ` (${spoken(t.point)})` : ''}. Dark band: one standard deviation of the turns${beside.band ? '' : '; pale band: least and greatest turn'}. Orders above ${figure(t.highestOrder)} of this shaft are filtered out.`
        : `At ${figure(place * 360 / t.mean.length)}°: mean ${figure(t.mean[place])} ${t.unit}, ± ${figure(t.standardDeviation[place] / Math.sqrt(t.turns))} its standard uncertainty; single turns scatter by ${figure(t.standardDeviation[place])}, from ${figure(t.minimum[place])} to ${figure(t.maximum[place])}.`;
    }
    function go(p) { if (!t) return; place = p === null ? null : (Math.round(p) % t.mean.length + t.mean.length) % t.mean.length; redraw(); tell(); }
    canvas.addEventListener('pointermove', e => t && go((e.offsetX - LEFT) / (canvas.clientWidth - LEFT - RIGHT) * t.mean.length));
    canvas.addEventListener('pointerleave', () => { if (document.activeElement !== canvas) go(null); });
    canvas.addEventListener('keydown', e => {
      if (!t) return;
      const step = t.mean.length / (e.shiftKey ? 24 : 120), act = { ArrowLeft: () => go((place ?? 0) - step), ArrowRight: () => go(place === null ? 0 : place + step), Home: () => go(0), Escape: () => go(null) }[e.key];
      if (!act) return;
      e.preventDefault(); act();
    });

    asking(fold, signal => Scale.ask(door(plan, 'turn', { channel: channel.value, shaft: shaft.value, ...point.value ? { point: point.value } : {} }), signal), (answer, wrong) => {
      t = answer; problem = wrong; place = null; redraw(); tell();
      output.textContent = problem || output.textContent;
      said(fold, t?.warnings ?? []);
      fold.querySelector('[data-table]').replaceChildren(...t ? [Scale.table(`One turn of the ${t.shaft}`, ['Angle', `Mean, ${t.unit}`, 'Standard deviation', 'Least turn', 'Greatest turn'], Array.from({ length: 24 }, (_, k) => {
        const p = Math.round(k / 24 * t.mean.length);
        return [`${k * 15}°`, figure(t.mean[p]), figure(t.standardDeviation[p]), figure(t.minimum[p]), figure(t.maximum[p])];
      }))] : []);
    });
    besides(fold, idOf(fold), {
      other: (run, signal) => Scale.ask(door(run, 'turn', { channel: channel.value, shaft: shaft.value, ...point.value ? { point: point.value } : {} }), signal),
      band: (of, signal) => {
        if (shaft.value !== '0') throw new Error('No band for this shaft: only the rotor has a mark, so that turns of other units cannot be laid upon each other.');
        return Scale.ask(door(plan, 'turn-band', { ...of, channel: channel.value, point: point.value }), signal);
      },
    }, now => { beside = now; fold.querySelector('[data-beside]').textContent = now.words.join(' '); redraw(); tell(); });
  }

  // Amplitude over the orders at one load point, with the named orders above; on a scale of decades, because a line of interest may be a hundredth of the loudest.
  function orderLine(fold, plan) {
    const LEFT = 84, RIGHT = 12, TOP = 92, BOTTOM = 40, canvas = fold.querySelector('canvas'), output = fold.querySelector('output'), [channel, point] = ['channel', 'point'].map(n => fold.querySelector(`[name=${n}]`));
    let m = null, problem = '', column = null, beside = {};
    const sheet = paper(canvas, redraw), { draw2d, clear, write, line } = sheet;
    function redraw() { requestAnimationFrame(paint); }
    const amplitude = () => m.rows[0].amplitude, columnOf = order => Math.min(m.orders.length - 1, Math.floor(order / (2 * m.orders[0])));

    function paint() {
      const [W, H] = clear();
      if (!W) return;
      if (!m) { write(problem || 'The spectra are made …', LEFT, H / 2, 'left', problem ? css('--fail') : css('--ink-2'), '500', 16); return; }
      const R = W - RIGHT, n = m.orders.length, end = m.orders[n - 1] + m.orders[0], X = o => LEFT + o / end * (R - LEFT), at = i => X(m.orders[i]), { band: under, other } = beside, low = m.orders.findIndex(o => o > 3 * m.orderStep);
      const heard = [...amplitude().slice(low), ...other?.rows[0].amplitude.slice(low) ?? [], ...under?.upper.slice(low) ?? [], ...under?.lower.slice(low) ?? []].filter(a => a > 0);
      const hi = Math.log10(Math.max(...heard, 1e-12)) + .1, lo = Math.max(hi - 5, Math.log10(Math.min(...heard, 10 ** hi)) - .1), Y = v => H - BOTTOM - (clamp(Math.log10(Math.max(v, 1e-30)), lo, hi) - lo) / (hi - lo) * (H - TOP - BOTTOM);
      for (let d = Math.ceil(lo); d <= hi; d++) { line(LEFT, Math.round(Y(10 ** d)) + .5, R, Math.round(Y(10 ** d)) + .5, css('--rule')); write(figure(10 ** d), LEFT - 8, Y(10 ** d), 'right', css('--ink-3')); }
      write(m.unit, 0, H - BOTTOM, 'left', css('--ink-3'));
      namedTicks(sheet, m.named, X, TOP, H - BOTTOM);
      orderAxis(sheet, end, X, LEFT, R, H - BOTTOM, H);
      draw2d.save(); draw2d.beginPath(); draw2d.rect(LEFT, TOP - 2, R - LEFT, H - TOP - BOTTOM + 4); draw2d.clip();
      if (under) Scale.band(draw2d, under, at, Y);
      const path = (values, colour, dash) => { draw2d.strokeStyle = colour; draw2d.lineWidth = 1.4; draw2d.setLineDash(dash); draw2d.beginPath(); values.forEach((v, i) => { if (v !== null) draw2d.lineTo(at(i), Y(v)); }); draw2d.stroke(); draw2d.setLineDash([]); };
      path(amplitude(), css('--ink'), []);
      if (other) path(other.rows[0].amplitude, css('--accent'), [5, 3]);
      if (column !== null) line(at(column), TOP, at(column), H - BOTTOM, css('--accent'), 1.5);
      draw2d.restore();
    }

    const inBand = i => beside.band?.lower[i] == null ? '' : ` Other units: ${figure(beside.band.lower[i])} to ${figure(beside.band.upper[i])}, median ${figure(beside.band.median[i])}.`;
    function tell() {
      if (!m) { output.textContent = problem; return; }
      if (column === null) { output.textContent = `${spoken(point.value)} at ${figure(m.rows[0].speedRadPerS * 30 / Math.PI)} rpm of the rotor, ${m.rows[0].fromS.toFixed(2)} to ${m.rows[0].toS.toFixed(2)} s; lines nearer than ${figure(2 * m.orderStep)} of an order flow together. Point at a place, or use the arrow keys; Page up and Page down go from named order to named order.`; return; }
      const o = m.orders[column], near = m.named.filter(x => Math.abs(x.order - o) <= Math.max(m.orders[0], m.orderStep)).map(x => x.name);
      output.textContent = `Order ${figure(o)}${near.length ? ` (${near.join(' or ')})` : ''}, ${figure(o * m.rows[0].speedRadPerS / (2 * Math.PI))} Hz: ${amplitude()[column] === null ? 'the sample rate does not reach it' : `${figure(amplitude()[column])} ${m.unit}`}.${inBand(column)}`;
    }
    function go(i) { if (!m) return; column = i === null ? null : clamp(i, 0, m.orders.length - 1); redraw(); tell(); }
    canvas.addEventListener('pointermove', e => m && go(Math.floor((e.offsetX - LEFT) / (canvas.clientWidth - LEFT - RIGHT) * m.orders.length)));
    canvas.addEventListener('pointerleave', () => { if (document.activeElement !== canvas) go(null); });
    canvas.addEventListener('keydown', e => {
      if (!m) return;
      const here = column ?? -1, act = {
        ArrowLeft: () => go(here - 1), ArrowRight: () => go(here + 1), Home: () => go(0), End: () => go(Infinity), Escape: () => go(null),
        PageDown: () => go(columnOf(m.named.find(o => columnOf(o.order) > here)?.order ?? m.named.at(-1)?.order ?? 0)), PageUp: () => go(columnOf(m.named.findLast(o => columnOf(o.order) < here)?.order ?? m.named[0]?.order ?? 0)),
      }[e.key];
      if (!act) return;
      e.preventDefault(); act();
    });

    function table() {
      const of = beside.band, n = v => v == null ? '' : figure(v);
      return Scale.table('Amplitude at named orders', ['Named order', 'Order', `This run, ${m.unit}`, ...of ? ['Other units from', 'median', 'to'] : []], m.named.map(o => { const i = columnOf(o.order); return [o.name, figure(o.order), n(amplitude()[i]), ...of ? [n(of.lower[i]), n(of.median[i]), n(of.upper[i])] : []]; }));
    }
    const show = () => { redraw(); tell(); fold.querySelector('[data-table]').replaceChildren(...m ? [table()] : []); };
    asking(fold, signal => Scale.ask(door(plan, 'orders', { channel: channel.value, point: point.value }), signal), (answer, wrong) => { m = answer; problem = wrong; column = null; said(fold, m?.warnings ?? []); show(); });
    besides(fold, idOf(fold), {
      other: (run, signal) => Scale.ask(door(run, 'orders', { channel: channel.value, point: point.value }), signal),
      band: (of, signal) => Scale.ask(door(plan, 'order-band', { ...of, channel: channel.value, point: point.value }), signal),
    }, now => { beside = now; fold.querySelector('[data-beside]').textContent = now.words.join(' '); show(); });
  }

  function orderMap(fold, plan) {
    const RIGHT = 12, TOP = 92, BOTTOM = 40, GAP = 5, DECADES = 3, canvas = fold.querySelector('canvas'), output = fold.querySelector('output'), channel = fold.querySelector('[name=channel]'), order = fold.querySelector('[name=order]');
    let m = null, problem = '', rows = [], at = null, most = 1, LEFT = 150;
    const sheet = paper(canvas, redraw), { draw2d, clear, write, line } = sheet;
    function redraw() { requestAnimationFrame(paint); }

    // Load points by speed, or as they came; within a point always by time.
    function arrange() {
      const groups = [...Map.groupBy(m.rows.map((r, i) => ({ ...r, i })), r => r.point ?? `${r.fromS.toFixed(0)} s`)].map(([name, of]) => ({ name, of, speed: of.reduce((s, r) => s + r.speedRadPerS, 0) / of.length }));
      if (order.value === 'speed') groups.sort((a, b) => b.speed - a.speed);
      rows = groups.flatMap(g => g.of.map((r, k) => ({ ...r, group: g, first: k === 0, last: k === g.of.length - 1 })));
    }

    const stops = () => [0, 1, 2, 3, 4].map(k => css(`--map-${k}`)).map(h => [1, 3, 5].map(i => parseInt(h.slice(i, i + 2), 16)));
    // Three decades below the greatest amplitude: a tenth is a third of the scale.
    const share = a => clamp(1 + Math.log10(Math.max(a, 1e-30) / most) / DECADES, 0, 1);
    function colour(s, of) { const x = s * 4, k = Math.min(3, Math.floor(x)); return `rgb(${of[k].map((c, i) => Math.round(c + (of[k + 1][i] - c) * (x - k))).join(' ')})`; }

    function places(H) {
      const gaps = rows.filter(r => r.last).length - 1, high = (H - TOP - BOTTOM - gaps * GAP) / rows.length;
      let y = TOP;
      return rows.map(r => { const top = y; y += high + (r.last ? GAP : 0); return [top, high]; });
    }

    function paint() {
      const [W, H] = clear(), narrow = W < 620;
      if (!W) return;
      LEFT = narrow ? 92 : 150;
      if (!m) { write(problem || 'The spectra are made …', LEFT, H / 2, 'left', problem ? css('--fail') : css('--ink-2'), '500', 16); return; }
      const R = W - RIGHT, n = m.orders.length, end = m.orders[n - 1] + m.orders[0], X = o => LEFT + o / end * (R - LEFT), of = stops(), where = places(H);
      rows.forEach((r, k) => {
        const [top, high] = where[k];
        for (let c = 0; c < n; c++) {
          if (r.amplitude[c] === null) continue;
          const x = Math.floor(LEFT + c / n * (R - LEFT)), y = Math.floor(top);
          draw2d.fillStyle = colour(share(r.amplitude[c]), of); draw2d.fillRect(x, y, Math.ceil(LEFT + (c + 1) / n * (R - LEFT)) - x, Math.ceil(top + high) - y);
        }
      });
      let free = -Infinity;
      rows.forEach((r, k) => {
        if (!r.first) return;
        const last = rows.findLastIndex(x => x.group === r.group), middle = (where[k][0] + where[last][0] + where[last][1]) / 2;
        if (middle - 8 < free) return;
        free = middle + 8;
        write(spoken(r.group.name), 0, middle, 'left', css('--ink'), '500', narrow ? 13 : 15); if (!narrow) write(`${figure(Math.round(r.group.speed * 30 / Math.PI))} rpm`, LEFT - 8, middle, 'right', css('--ink-3'));
      });

      namedTicks(sheet, m.named, X, TOP, H - BOTTOM);
      orderAxis(sheet, end, X, LEFT, R, H - BOTTOM, H);
      if (at) { const [top, high] = where[at.row], x = LEFT + at.column / n * (R - LEFT), wide = (R - LEFT) / n; draw2d.strokeStyle = css('--accent'); draw2d.lineWidth = 2; draw2d.strokeRect(x - 3, top - 3, wide + 6, high + 6); line(x + wide / 2, TOP, x + wide / 2, H - BOTTOM, css('--accent'), 1); }
      legend(of);
    }

    function legend(of) {
      const bar = fold.querySelector('.map-scale');
      bar.querySelector('i').style.background = `linear-gradient(to right, ${of.map(c => `rgb(${c.join(' ')})`).join(', ')})`;
      [...bar.querySelectorAll('span')].forEach((s, k) => { s.textContent = `${k === 0 ? '≤ ' : ''}${figure(+(most * 10 ** (k - DECADES)).toPrecision(2))}${k === DECADES ? ` ${m.unit}` : ''}`; });
    }

    function tell() {
      if (!m) { output.textContent = problem; return; }
      if (!at) { output.textContent = `${rows.length} rows of the run, ${m.orders.length} columns of orders; lines nearer than ${figure(2 * m.orderStep)} of an order flow together. Point at a place, or use the arrow keys; Page up and Page down go from named order to named order.`; return; }
      const r = rows[at.row], o = m.orders[at.column], half = Math.max(m.orders[0], m.orderStep), near = m.named.filter(x => Math.abs(x.order - o) <= half).map(x => x.name);
      output.textContent = `Order ${figure(o)}${near.length ? ` (${near.join(' or ')})` : ''}, ${figure(o * r.speedRadPerS / (2 * Math.PI))} Hz, ${spoken(r.group.name)} at ${figure(r.speedRadPerS * 30 / Math.PI)} rpm, ${r.fromS.toFixed(2)} to ${r.toS.toFixed(2)} s: ${r.amplitude[at.column] === null ? 'the sample rate does not reach it' : `${figure(r.amplitude[at.column])} ${m.unit}`}.`;
    }
    function go(row, column) { at = { row: clamp(row, 0, rows.length - 1), column: clamp(column, 0, m.orders.length - 1) }; redraw(); tell(); }

    canvas.addEventListener('pointermove', e => {
      if (!m) return;
      const row = places(canvas.clientHeight).findLastIndex(([top]) => e.offsetY >= top), column = Math.floor((e.offsetX - LEFT) / (canvas.clientWidth - LEFT - RIGHT) * m.orders.length);
      if (row >= 0 && column >= 0 && column < m.orders.length) go(row, column);
    });
    canvas.addEventListener('pointerleave', () => { if (m && document.activeElement !== canvas) { at = null; redraw(); tell(); } });
    canvas.addEventListener('keydown', e => {
      if (!m) return;
      const { row, column } = at ?? { row: 0, column: -1 }, wide = 2 * m.orders[0], columnOf = o => Math.floor(o / wide);
      const act = {
        ArrowLeft: () => go(row, column - 1), ArrowRight: () => go(row, column + 1), ArrowUp: () => go(row - 1, column), ArrowDown: () => go(row + 1, column), Home: () => go(row, 0), End: () => go(row, Infinity),
        PageDown: () => go(row, columnOf(m.named.find(o => columnOf(o.order) > column)?.order ?? m.named.at(-1)?.order ?? 0)), PageUp: () => go(row, columnOf(m.named.findLast(o => columnOf(o.order) < column)?.order ?? m.named[0]?.order ?? 0)),
        Escape: () => { at = null; redraw(); tell(); },
      }[e.key];
      if (!act) return;
      e.preventDefault(); act();
    });

    // For whoever cannot see the colours: of each load point the amplitude at each named order, root mean square of its rows.
    function table() {
      const groups = [...new Set(rows.map(r => r.group))], mean = values => values.includes(null) ? '' : figure(Math.sqrt(values.reduce((s, v) => s + v * v, 0) / values.length));
      return Scale.table('Amplitude at named orders by load point', ['Named order', 'Order', ...groups.map(g => `${spoken(g.name)}, ${m.unit}`)], m.named.map((o, i) => [o.name, figure(o.order), ...groups.map(g => mean(g.of.map(r => r.lines[i])))]));
    }

    order.addEventListener('change', e => { e.stopImmediatePropagation(); if (m) { at = null; arrange(); redraw(); tell(); } });
    asking(fold, signal => Scale.ask(door(plan, 'orders', { channel: channel.value }), signal), (answer, wrong) => {
      m = answer; problem = wrong; at = null;
      if (m) {
        // What lies within the lobe about the mean is no line.
        const low = m.orders.findIndex(o => o > 3 * m.orderStep);
        most = Math.max(...m.rows.flatMap(r => r.amplitude.slice(low).filter(a => a !== null)), 1e-12);
        arrange();
      }
      redraw(); tell(); said(fold, m?.warnings ?? []);
      fold.querySelector('[data-table]').replaceChildren(...m ? [table()] : []);
    });
  }
})();
