// Load-test traces over millions of samples: the server thins by minimum and maximum per pixel column, this draws them and asks again where the person looks closer.
(() => {
  const LEFT = 150, RIGHT = 10, TOP = 40, BOTTOM = 66, GAP = 12, STRIP = 34, LEAST_S = 0.005;
  const css = name => getComputedStyle(document.documentElement).getPropertyValue(name).trim();
  const clamp = (x, a, b) => Math.min(b, Math.max(a, x));

  for (const canvas of document.querySelectorAll('canvas[data-trace]')) start(canvas);

  function start(canvas) {
    const plan = JSON.parse(canvas.dataset.trace), draw2d = canvas.getContext('2d');
    const shown = new Set(plan.channels.slice(0, 4).map(c => c.channel));
    const whole = new Map(), near = new Map(); // by channel: the whole run, and the piece last asked for
    let end = plan.windows.reduce((m, w) => Math.max(m, w.toS), 1), from = 0, to = end, asking = null, timer = 0, frame = 0;
    const output = canvas.parentElement.querySelector('output');
    const columns = () => Math.max(200, Math.round(canvas.clientWidth - LEFT - RIGHT));

    async function ask(channel, a, b, signal) {
      const q = new URLSearchParams({ channel: channel.channel, points: String(columns()) });
      if (a !== null) { q.set('from', a); q.set('to', b); }
      const answer = await fetch(`/api/v1/captures/${encodeURIComponent(channel.sha)}/trace?${q}`, { signal });
      if (!answer.ok) throw new Error((await answer.json().catch(() => null))?.title ?? `The trace of ${channel.name} did not come (${answer.status}).`);
      const t = await answer.json();
      // Columns without a sample are gaps, not zeros.
      const kept = t.timeS.map((_, i) => i).filter(i => t.minimum[i] !== null);
      return { timeS: kept.map(i => t.timeS[i]), minimum: kept.map(i => t.minimum[i]), maximum: kept.map(i => t.maximum[i]), rateHz: t.samples / (t.toS - t.fromS) };
    }

    async function askWhole() {
      for (const c of plan.channels.filter(c => shown.has(c.channel) && !whole.has(c.channel))) {
        try {
          const t = await ask(c, null, null);
          whole.set(c.channel, t);
          const last = t.timeS.at(-1);
          if (last > end) { if (to === end) to = last; end = last; }
        } catch (e) { whole.set(c.channel, { timeS: [], minimum: [], maximum: [], problem: e.message }); }
        redraw();
      }
    }

    // A little wider than what is seen, so that a drag has something to show before the answer comes.
    function askNear() {
      clearTimeout(timer);
      timer = setTimeout(async () => {
        asking?.abort();
        asking = new AbortController();
        const signal = asking.signal, span = to - from, a = Math.max(0, from - span * 0.25), b = Math.min(end, to + span * 0.25);
        if (span > end * 0.9) return;
        await Promise.allSettled(plan.channels.filter(c => shown.has(c.channel)).map(async c => { near.set(c.channel, await ask(c, a, b, signal)); redraw(); }));
      }, 70);
    }

    function view(a, b) {
      const span = clamp(b - a, LEAST_S, end);
      from = clamp(a, 0, end - span); to = from + span;
      for (const button of document.querySelectorAll(`[data-trace-buttons="${canvas.id}"] button`)) {
        const f = button.dataset.from === '' ? 0 : Number(button.dataset.from), t = button.dataset.from === '' ? end : Number(button.dataset.to);
        button.setAttribute('aria-pressed', String(Math.abs(f - from) < span * 0.11 + 1e-9 && Math.abs(t - to) < span * 0.11 + 1e-9));
      }
      redraw(); askNear();
    }
    const zoom = (factor, at) => view(at - (at - from) * factor, at + (to - at) * factor);
    const timeAt = x => from + (x - LEFT) / (canvas.clientWidth - LEFT - RIGHT) * (to - from);

    function redraw() { cancelAnimationFrame(frame); frame = requestAnimationFrame(paint); }

    function paint() {
      const d = devicePixelRatio || 1, W = canvas.clientWidth, H = canvas.clientHeight;
      if (!W) return;
      canvas.width = W * d; canvas.height = H * d; draw2d.setTransform(d, 0, 0, d, 0, 0);
      const ink = css('--ink'), ink2 = css('--ink-2'), ink3 = css('--ink-3'), rule = css('--rule'), rule2 = css('--rule-2'), accent = css('--accent'), usual = css('--usual'), fail = css('--fail'), font = css('--lettering');
      const chosen = plan.channels.filter(c => shown.has(c.channel)), R = W - RIGHT, X = t => LEFT + (t - from) / (to - from) * (R - LEFT);
      const h = (H - TOP - BOTTOM - GAP * Math.max(0, chosen.length - 1)) / Math.max(1, chosen.length);
      const write = (text, x, y, align = 'left', colour = ink2, weight = '400', size = 14) => { draw2d.font = `${weight} ${size}px ${font}`; draw2d.textAlign = align; draw2d.fillStyle = colour; draw2d.fillText(text, x, y); };
      const line = (x1, y1, x2, y2, colour, width = 1, dash = []) => { draw2d.strokeStyle = colour; draw2d.lineWidth = width; draw2d.setLineDash(dash); draw2d.beginPath(); draw2d.moveTo(x1, y1); draw2d.lineTo(x2, y2); draw2d.stroke(); draw2d.setLineDash([]); };
      draw2d.textBaseline = 'middle';

      // Each window is a dimension over the traces.
      let free = LEFT;
      for (const w of plan.windows) {
        const a = Math.max(LEFT, X(w.fromS)), b = Math.min(R, X(w.toS));
        if (b <= a) continue;
        draw2d.fillStyle = usual; draw2d.globalAlpha = .55; draw2d.fillRect(a, TOP - 6, b - a, H - TOP - BOTTOM + 10); draw2d.globalAlpha = 1;
        line(a, 27, b, 27, rule2); line(a, 22, a, 32, rule2); line(b, 22, b, 32, rule2);
        const name = w.point.replace(/-/g, ' '); draw2d.font = `500 14px ${font}`;
        const width = draw2d.measureText(name).width, middle = clamp((a + b) / 2, LEFT + width / 2, R - width / 2);
        if (middle - width / 2 >= free) { write(name, middle, 11, 'center', ink2, '500'); free = middle + width / 2 + 10; }
      }

      chosen.forEach((c, k) => {
        const top = TOP + k * (h + GAP), data = pick(c.channel), close = to - from < end * 0.5;
        write(c.name, 0, top + 12, 'left', ink, '600', 16); write(c.unit, 0, top + 31, 'left', ink3);
        if (!data) { write('…', LEFT + 8, top + h / 2); return; }
        if (data.problem) { write(data.problem, LEFT + 8, top + h / 2, 'left', fail, '500'); return; }

        const seen = []; let lo = Infinity, hi = -Infinity;
        for (let i = 0; i < data.timeS.length; i++) {
          const t = data.timeS[i];
          if (t < from - (to - from) * 0.01 || t > to + (to - from) * 0.01) continue;
          seen.push(i); if (data.minimum[i] < lo) lo = data.minimum[i]; if (data.maximum[i] > hi) hi = data.maximum[i];
        }
        if (!seen.length) { write('nothing recorded here', LEFT + 8, top + h / 2); return; }
        const limits = close ? plan.windows.flatMap(w => w.limits.filter(l => l.channel === c.channel && w.toS > from && w.fromS < to).map(l => ({ w, l }))) : [];
        for (const { l } of limits) { if (l.lower !== null) lo = Math.min(lo, l.lower); if (l.upper !== null) hi = Math.max(hi, l.upper); }
        const pad = Math.max((hi - lo) * .08, Math.abs(hi) * 1e-4, 1e-6); lo -= pad; hi += pad;
        const Y = v => top + h - (v - lo) / (hi - lo) * h;
        for (const t of ticks(lo, hi, Math.max(2, Math.floor(h / 34)))) { line(LEFT, Math.round(Y(t)) + .5, R, Math.round(Y(t)) + .5, rule); write(figure(t), LEFT - 8, Y(t), 'right', ink3); }

        draw2d.save(); draw2d.beginPath(); draw2d.rect(LEFT, top - 2, R - LEFT, h + 4); draw2d.clip();
        const gap = 6 * typicalStep(data.timeS);
        for (let s = 0; s < seen.length;) {
          let e = s + 1;
          while (e < seen.length && data.timeS[seen[e]] - data.timeS[seen[e - 1]] <= gap) e++;
          const run = seen.slice(s, e);
          draw2d.beginPath(); run.forEach(i => draw2d.lineTo(X(data.timeS[i]), Y(data.maximum[i]))); for (let q = run.length - 1; q >= 0; q--) draw2d.lineTo(X(data.timeS[run[q]]), Y(data.minimum[run[q]])); draw2d.closePath();
          draw2d.fillStyle = ink; draw2d.globalAlpha = .32; draw2d.fill(); draw2d.globalAlpha = 1;
          draw2d.strokeStyle = ink; draw2d.lineWidth = 1.2; draw2d.lineJoin = 'round'; draw2d.beginPath(); run.forEach(i => draw2d.lineTo(X(data.timeS[i]), Y((data.minimum[i] + data.maximum[i]) / 2))); draw2d.stroke();
          s = e;
        }
        for (const { w, l } of limits) for (const edge of [l.lower, l.upper]) if (edge !== null) line(X(w.fromS), Y(edge), X(w.toS), Y(edge), ink, 1.5);
        if (close) for (const w of plan.windows) {
          const mean = w.means[c.channel];
          if (mean === undefined || w.toS < from || w.fromS > to) continue;
          line(X(w.fromS), Y(mean), X(w.toS), Y(mean), accent, 2);
          draw2d.restore(); draw2d.save();
          const said = `mean ${figure(mean)}`, right = clamp(X(w.toS) - 6, LEFT + 80, R - 4), middle = clamp(Y(mean) - 12, top + 8, top + h - 6);
          draw2d.font = `700 15px ${font}`; draw2d.fillStyle = css('--ground'); draw2d.globalAlpha = .86; draw2d.fillRect(right - draw2d.measureText(said).width - 4, middle - 9, draw2d.measureText(said).width + 8, 18); draw2d.globalAlpha = 1;
          write(said, right, middle, 'right', accent, '700', 15);
          draw2d.beginPath(); draw2d.rect(LEFT, top - 2, R - LEFT, h + 4); draw2d.clip();
        }
        draw2d.restore();
      });

      const foot = H - STRIP;
      for (const t of ticks(from, to, 10)) write(figure(t), clamp(X(t), LEFT + 4, R - 14), foot - 16, 'center', ink3);
      write('s', R, foot - 16, 'right', ink3);
      write('Whole run', 0, foot + STRIP / 2, 'left', ink2);
      draw2d.strokeStyle = rule2; draw2d.lineWidth = 1; draw2d.strokeRect(LEFT + .5, foot + .5, R - LEFT - 1, STRIP - 2);
      const over = chosen.length ? whole.get(chosen[0].channel) : null;
      if (over?.timeS.length) {
        const lo = Math.min(...over.minimum), hi = Math.max(...over.maximum), S = t => LEFT + t / end * (R - LEFT);
        draw2d.strokeStyle = ink3; draw2d.beginPath(); over.timeS.forEach((t, i) => draw2d.lineTo(S(t), foot + STRIP - 6 - ((over.minimum[i] + over.maximum[i]) / 2 - lo) / (hi - lo || 1) * (STRIP - 12))); draw2d.stroke();
      }
      const a = LEFT + from / end * (R - LEFT), b = LEFT + to / end * (R - LEFT);
      draw2d.fillStyle = accent; draw2d.globalAlpha = .13; draw2d.fillRect(a, foot, b - a, STRIP - 1); draw2d.globalAlpha = 1; draw2d.fillRect(a - 1, foot - 2, 3, STRIP + 2); draw2d.fillRect(b - 2, foot - 2, 3, STRIP + 2);

      const first = chosen.length ? pick(chosen[0].channel) : null;
      if (output) output.textContent = `Showing ${from.toFixed(2)} to ${to.toFixed(2)} s${first?.rateHz ? `, ${Math.round((to - from) * first.rateHz).toLocaleString('en').replace(/,/g, '\u202f')} samples a channel` : ''}.`;
    }

    function pick(channel) {
      const n = near.get(channel), w = whole.get(channel);
      if (n?.timeS.length && n.timeS[0] <= Math.max(from, w?.timeS[0] ?? 0) + (to - from) * .02 && n.timeS.at(-1) >= Math.min(to, w?.timeS.at(-1) ?? to) - (to - from) * .02 && to - from < end * .9) return n;
      return w;
    }

    canvas.addEventListener('wheel', e => { if (!e.ctrlKey && document.activeElement !== canvas) return; e.preventDefault(); zoom(Math.exp(clamp(e.deltaY, -200, 200) * .0016), timeAt(e.offsetX)); }, { passive: false });
    let held = null;
    canvas.addEventListener('pointerdown', e => { held = { x: e.clientX, from, to, strip: e.offsetY > canvas.clientHeight - STRIP }; canvas.setPointerCapture(e.pointerId); canvas.focus({ preventScroll: true }); });
    canvas.addEventListener('pointermove', e => {
      if (!held) return;
      const wide = canvas.clientWidth - LEFT - RIGHT, moved = held.strip ? (e.clientX - held.x) / wide * end : -(e.clientX - held.x) / wide * (held.to - held.from);
      view(held.from + moved, held.to + moved);
    });
    for (const done of ['pointerup', 'pointercancel']) canvas.addEventListener(done, () => { held = null; });
    canvas.addEventListener('dblclick', e => zoom(.25, timeAt(e.offsetX)));
    canvas.addEventListener('keydown', e => {
      const span = to - from, act = { ArrowLeft: () => view(from - span * .2, to - span * .2), ArrowRight: () => view(from + span * .2, to + span * .2), '+': () => zoom(.6, (from + to) / 2), '=': () => zoom(.6, (from + to) / 2), '-': () => zoom(1.7, (from + to) / 2), Home: () => view(0, end) }[e.key];
      if (!act) return;
      e.preventDefault(); act();
    });
    for (const button of document.querySelectorAll(`[data-trace-buttons="${canvas.id}"] button`)) button.addEventListener('click', () => {
      if (button.dataset.from === '') { view(0, end); return; }
      const a = Number(button.dataset.from), b = Number(button.dataset.to), m = (b - a) * .1;
      view(a - m, b + m);
    });
    for (const button of document.querySelectorAll(`[data-trace-channels="${canvas.id}"] button`)) button.addEventListener('click', () => {
      const c = button.dataset.channel;
      if (shown.has(c)) shown.delete(c); else shown.add(c);
      button.setAttribute('aria-pressed', String(shown.has(c)));
      redraw(); askWhole().then(askNear);
    });
    addEventListener('themechange', redraw);
    new ResizeObserver(redraw).observe(canvas);
    document.fonts?.ready.then(redraw);
    view(0, end);
    // Nothing is asked for a drawing that nobody has scrolled to.
    new IntersectionObserver((seen, me) => { if (seen.some(s => s.isIntersecting)) { me.disconnect(); askWhole(); } }, { rootMargin: '400px' }).observe(canvas);
  }

  const typicalStep = times => times.length < 3 ? Infinity : [...times.slice(1)].map((t, i) => t - times[i]).sort((a, b) => a - b)[Math.floor((times.length - 1) / 2)];
  const figure = v => { const s = String(+v.toPrecision(4)); return s.replace('-', '\u2212'); };
  function ticks(lo, hi, most) {
    const rough = (hi - lo) / Math.max(1, most), size = 10 ** Math.floor(Math.log10(rough)), step = [1, 2, 5, 10].map(k => k * size).find(s => s >= rough) ?? size * 10, out = [];
    for (let t = Math.ceil(lo / step) * step; t <= hi + step * 1e-9; t += step) out.push(Math.abs(t) < step * 1e-9 ? 0 : t);
    return out;
  }
})();
