// Load-test traces over millions of samples: the server thins by minimum and maximum per pixel column, this draws them and asks again where the person looks closer,
// reads the figures of a stretch that the person marks, lays another run over, load point upon load point, and a band of other units' runs under.
(() => {
  const RIGHT = 10, TOP = 40, BOTTOM = 66, GAP = 12, STRIP = 34, LEAST_S = 0.005;
  const { css, clamp, figure, ticks } = Scale;

  for (const canvas of document.querySelectorAll('canvas[data-trace]')) start(canvas);

  function start(canvas) {
    const plan = JSON.parse(canvas.dataset.trace), draw2d = canvas.getContext('2d');
    const shown = new Set(plan.channels.slice(0, 4).map(c => c.channel));
    const whole = new Map(), near = new Map(); // by channel: the whole run, and the piece last asked for
    let end = plan.windows.reduce((m, w) => Math.max(m, w.toS), 1), from = 0, to = end, asking = null, timer = 0, frame = 0;
    let LEFT = 150; // room for names; on a narrow screen they stand above their traces
    let marked = null, marking = false, reading = null, soon = 0; // the stretch whose figures are asked for, and whether a drag marks
    let other = null; // another run laid over: its plan, its traces in this run's time
    const means = new Map(); // by window and channel, once somebody looks closely
    let band = null; // of other units' runs: what they have in common, how many are read, and by channel the whole run and the piece last asked for
    const output = canvas.parentElement.querySelector('output'), part = name => document.querySelector(`[data-trace-${name}="${canvas.id}"]`);
    const stretch = part('stretch'), figures = part('figures'), others = part('other'), otherWord = part('other-word'), bandForm = part('band'), bandWord = bandForm.querySelector('[role=status]'), bandStop = bandForm.querySelector('[data-stop]');
    const columns = () => Math.max(200, Math.round(canvas.clientWidth - LEFT - RIGHT));

    async function ask(channel, a, b, signal) {
      const q = new URLSearchParams({ channel: channel.channel, points: String(columns()) });
      if (a !== null) { q.set('from', a); q.set('to', b); }
      const t = await Scale.ask(`/api/v1/captures/${encodeURIComponent(channel.sha)}/trace?${q}`, signal);
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
      await Promise.all([askOther(), askBand()]);
    }

    // Of every window that is looked at closely, from every sample in it.
    async function askMeans(signal) {
      if (to - from >= end * .5) return;
      await Promise.allSettled(plan.windows.filter(w => w.toS > from && w.fromS < to).flatMap(w => {
        const lacking = plan.channels.filter(c => shown.has(c.channel) && !means.has(w.point + c.channel));
        return [...Map.groupBy(lacking, c => c.sha)].map(async ([sha, of]) => {
          for (const f of await figuresOf(sha, of, w.fromS, w.toS, signal)) if (f.mean !== null) means.set(w.point + f.channel, f.mean);
          redraw();
        });
      }));
    }

    async function figuresOf(sha, of, a, b, signal) {
      const q = new URLSearchParams({ from: a, to: b });
      for (const c of of) q.append('channel', c.channel);
      return (await Scale.ask(`/api/v1/captures/${encodeURIComponent(sha)}/statistics?${q}`, signal)).channels;
    }

    async function bandOf(c, a, b, runs, points, signal) {
      const q = new URLSearchParams({ of: band.of, stopped: band.stopped, runs, channel: c.channel, table: c.table, points });
      if (a !== null) { q.set('from', a); q.set('to', b); }
      const answer = await Scale.ask(`/api/v1/units/${encodeURIComponent(plan.unit)}/load-tests/${plan.attempt}/band?${q}`, signal);
      return { ...answer, timeS: answer.at };
    }

    // A few runs first, so that there is something to see; each answer is a band of its own and says of how many runs it is.
    async function askBand() {
      const laid = band;
      if (!laid) return;
      laid.asking?.abort();
      laid.asking = new AbortController();
      const signal = laid.asking.signal, lacking = runs => plan.channels.filter(c => shown.has(c.channel) && (laid.whole.get(c.channel)?.asked ?? 0) < Math.min(runs, laid.most));
      bandStop.hidden = false;
      for (const runs of Scale.bandSteps) {
        const asked = await Promise.allSettled(lacking(runs).map(async c => laid.whole.set(c.channel, { ...await bandOf(c, null, null, runs, columns(), signal), asked: runs })));
        if (signal.aborted) return;
        const told = [...laid.whole.values()].reduce((most, b) => b.runs > (most?.runs ?? 0) ? b : most, null), refused = asked.find(a => a.status === 'rejected');
        if (told) laid.most = told.atHand;
        if (told || refused) bandWord.textContent = told ? Scale.bandWords(told) : refused.reason.message;
        redraw();
      }
      bandStop.hidden = true;
      askNear();
    }

    async function askOther() {
      const laid = other;
      for (const c of laid?.plan.channels.filter(c => shown.has(c.channel) && !laid.whole.has(c.channel)) ?? []) {
        try { laid.whole.set(c.channel, laid.inOwnTime(await ask(c, null, null))); } catch { laid.whole.set(c.channel, { timeS: [], minimum: [], maximum: [] }); }
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
        const laid = other, under = band, seen = c => shown.has(c.channel);
        await Promise.allSettled([
          askMeans(signal),
          ...plan.channels.filter(seen).map(async c => { near.set(c.channel, await ask(c, a, b, signal)); redraw(); }),
          ...under ? plan.channels.filter(c => seen(c) && under.whole.has(c.channel)).map(async c => { under.near.set(c.channel, await bandOf(c, a, b, under.whole.get(c.channel).asked, columns(), signal)); redraw(); }) : [],
          ...laid?.plan.channels.filter(seen).map(async c => { laid.near.set(c.channel, laid.inOwnTime(await ask(c, laid.toOther(a), laid.toOther(b), signal))); redraw(); }) ?? [],
        ]);
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
      const narrow = W < 620, head = narrow ? 18 : 0;
      LEFT = narrow ? 54 : 150;
      const chosen = plan.channels.filter(c => shown.has(c.channel)), R = W - RIGHT, X = t => LEFT + (t - from) / (to - from) * (R - LEFT);
      const h = (H - TOP - BOTTOM - GAP * Math.max(0, chosen.length - 1)) / Math.max(1, chosen.length) - head;
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
        const top = TOP + head + k * (h + head + GAP), data = pick(c.channel), close = to - from < end * 0.5, laid = other && (other.plan.channels.some(o => o.channel === c.channel) ? other.name : 'not recorded there');
        if (narrow) {
          write(`${c.name}, ${c.unit}`, 0, top - 9, 'left', ink, '600', 15);
          if (laid) write(`dashed: ${laid}`, R, top - 9, 'right', accent);
        } else {
          write(c.name, 0, top + 12, 'left', ink, '600', 16); write(c.unit, 0, top + 31, 'left', ink3);
          if (laid) { line(0, top + 50, 26, top + 50, accent, 1.5, [5, 3]); write(laid, 32, top + 50, 'left', accent); }
        }
        if (!data) { write('…', LEFT + 8, top + h / 2); return; }
        if (data.problem) { write(data.problem, LEFT + 8, top + h / 2, 'left', fail, '500'); return; }

        const seen = []; let lo = Infinity, hi = -Infinity;
        for (let i = 0; i < data.timeS.length; i++) {
          const t = data.timeS[i];
          if (t < from - (to - from) * 0.01 || t > to + (to - from) * 0.01) continue;
          seen.push(i); if (data.minimum[i] < lo) lo = data.minimum[i]; if (data.maximum[i] > hi) hi = data.maximum[i];
        }
        if (!seen.length) { write('nothing recorded here', LEFT + 8, top + h / 2); return; }
        const over = other ? pick(c.channel, other) : null, overSeen = [];
        if (over) for (let i = 0; i < over.timeS.length; i++) {
          const t = over.timeS[i];
          if (t < from - (to - from) * 0.01 || t > to + (to - from) * 0.01) continue;
          overSeen.push(i); if (over.minimum[i] < lo) lo = over.minimum[i]; if (over.maximum[i] > hi) hi = over.maximum[i];
        }
        const under = band ? pick(c.channel, band) : null;
        if (under) under.timeS.forEach((t, i) => { if (under.lower[i] !== null && t >= from && t <= to) { lo = Math.min(lo, under.lower[i]); hi = Math.max(hi, under.upper[i]); } });
        const limits = close ? plan.windows.filter(w => w.toS > from && w.fromS < to && means.has(w.point + c.channel)).flatMap(w => w.limits.filter(l => l.channel === c.channel).map(l => edgesOf(w, l))) : [];
        for (const l of limits) { if (l.lower !== null) lo = Math.min(lo, l.lower); if (l.upper !== null) hi = Math.max(hi, l.upper); }
        const pad = Math.max((hi - lo) * .08, Math.abs(hi) * 1e-4, 1e-6); lo -= pad; hi += pad;
        const Y = v => top + h - (v - lo) / (hi - lo) * h;
        for (const t of ticks(lo, hi, Math.max(2, Math.floor(h / 34)))) { line(LEFT, Math.round(Y(t)) + .5, R, Math.round(Y(t)) + .5, rule); write(figure(t), LEFT - 8, Y(t), 'right', ink3); }

        draw2d.save(); draw2d.beginPath(); draw2d.rect(LEFT, top - 2, R - LEFT, h + 4); draw2d.clip();
        if (under) Scale.band(draw2d, under, i => X(under.timeS[i]), Y);
        if (over) trace(over, overSeen, X, Y, accent, [5, 3]);
        trace(data, seen, X, Y, ink, []);
        for (const { w, lower, upper } of limits) for (const edge of [lower, upper]) if (edge !== null) line(X(w.fromS), Y(edge), X(w.toS), Y(edge), ink, 1.5);
        if (close) for (const w of plan.windows) {
          const mean = means.get(w.point + c.channel);
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

      if (marked && marked.b > from && marked.a < to) {
        const a = Math.max(LEFT, X(marked.a)), b = Math.min(R, X(marked.b));
        draw2d.fillStyle = accent; draw2d.globalAlpha = .14; draw2d.fillRect(a, TOP - 6, b - a, H - TOP - BOTTOM + 10); draw2d.globalAlpha = 1;
        if (marked.a >= from) line(a, TOP - 6, a, H - BOTTOM + 4, accent, 1.5);
        if (marked.b <= to) line(b, TOP - 6, b, H - BOTTOM + 4, accent, 1.5);
      }

      const foot = H - STRIP;
      for (const t of ticks(from, to, narrow ? 5 : 10)) write(figure(t), clamp(X(t), LEFT + 4, R - 14), foot - 16, 'center', ink3);
      write('s', R, foot - 16, 'right', ink3);
      if (!narrow) write('Whole run', 0, foot + STRIP / 2, 'left', ink2);
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

    function edgesOf(w, limit) {
      const mean = means.get(w.point + limit.channel);
      return { w, lower: limit.lower === null ? null : mean + limit.lower, upper: limit.upper === null ? null : mean + limit.upper };
    }

    // What lies between two samples far apart is not drawn: a gap between windows stays a gap.
    function trace(data, seen, X, Y, colour, dash) {
      const gap = 6 * typicalStep(data.timeS);
      for (let s = 0; s < seen.length;) {
        let e = s + 1;
        while (e < seen.length && data.timeS[seen[e]] - data.timeS[seen[e - 1]] <= gap) e++;
        const run = seen.slice(s, e);
        draw2d.beginPath(); run.forEach(i => draw2d.lineTo(X(data.timeS[i]), Y(data.maximum[i]))); for (let q = run.length - 1; q >= 0; q--) draw2d.lineTo(X(data.timeS[run[q]]), Y(data.minimum[run[q]])); draw2d.closePath();
        draw2d.fillStyle = colour; draw2d.globalAlpha = .32; draw2d.fill(); draw2d.globalAlpha = 1;
        draw2d.strokeStyle = colour; draw2d.lineWidth = 1.2; draw2d.setLineDash(dash); draw2d.lineJoin = 'round'; draw2d.beginPath(); run.forEach(i => draw2d.lineTo(X(data.timeS[i]), Y((data.minimum[i] + data.maximum[i]) / 2))); draw2d.stroke(); draw2d.setLineDash([]);
        s = e;
      }
    }

    function pick(channel, of = { near, whole }) {
      const n = of.near.get(channel), w = of.whole.get(channel);
      if (n?.timeS.length && n.timeS[0] <= Math.max(from, w?.timeS[0] ?? 0) + (to - from) * .02 && n.timeS.at(-1) >= Math.min(to, w?.timeS.at(-1) ?? to) - (to - from) * .02 && to - from < end * .9) return n;
      return w;
    }

    canvas.addEventListener('wheel', e => { if (!e.ctrlKey && document.activeElement !== canvas) return; e.preventDefault(); zoom(Math.exp(clamp(e.deltaY, -200, 200) * .0016), timeAt(e.offsetX)); }, { passive: false });
    let held = null;
    canvas.addEventListener('pointerdown', e => { const strip = e.offsetY > canvas.clientHeight - STRIP; held = { x: e.clientX, from, to, strip, mark: (marking || e.shiftKey) && !strip ? clamp(timeAt(e.offsetX), from, to) : null }; canvas.setPointerCapture(e.pointerId); canvas.focus({ preventScroll: true }); });
    canvas.addEventListener('pointermove', e => {
      if (!held) return;
      if (held.mark !== null) { mark(held.mark, clamp(timeAt(e.offsetX), from, to)); return; }
      const wide = canvas.clientWidth - LEFT - RIGHT, moved = held.strip ? (e.clientX - held.x) / wide * end : -(e.clientX - held.x) / wide * (held.to - held.from);
      view(held.from + moved, held.to + moved);
    });
    for (const done of ['pointerup', 'pointercancel']) canvas.addEventListener(done, () => { if (held?.mark != null && marked) { if (marked.b - marked.a < (to - from) * .002) unmark(); else readSoon(); } held = null; });
    canvas.addEventListener('dblclick', e => zoom(.25, timeAt(e.offsetX)));
    canvas.addEventListener('keydown', e => {
      const span = to - from, grow = step => { mark(marked?.a ?? from + span * .4, marked ? clamp(marked.b + step, marked.a + span * .002, end) : from + span * .6); readSoon(); };
      const act = e.shiftKey && e.key.startsWith('Arrow') ? { ArrowLeft: () => grow(-span * .02), ArrowRight: () => grow(span * .02) }[e.key] : {
        m: () => { mark(from, to); readSoon(); }, Escape: marked ? unmark : null,  ArrowLeft: () => view(from - span * .2, to - span * .2), ArrowRight: () => view(from + span * .2, to + span * .2), '+': () => zoom(.6, (from + to) / 2), '=': () => zoom(.6, (from + to) / 2), '-': () => zoom(1.7, (from + to) / 2), Home: () => view(0, end) }[e.key];
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
      redraw(); askWhole().then(askNear); if (marked) readSoon();
    });

    function mark(a, b) {
      marked = { a: Math.min(a, b), b: Math.max(a, b) };
      stretch.elements.from.value = marked.a.toFixed(3); stretch.elements.to.value = marked.b.toFixed(3);
      stretch.querySelector('[data-clear]').hidden = false;
      redraw();
    }
    function unmark() {
      marked = null; reading?.abort(); clearTimeout(soon);
      stretch.reset(); figures.replaceChildren(); stretch.querySelector('[data-clear]').hidden = true;
      redraw();
    }
    function readSoon() { clearTimeout(soon); soon = setTimeout(readStretch, 120); }

    // Every shown channel of this run and of the one laid over, from all samples there and not from what is drawn.
    async function readStretch() {
      reading?.abort();
      reading = new AbortController();
      const { a, b } = marked, signal = reading.signal, runs = [{ plan, a, b, name: '' }, ...other ? [{ plan: other.plan, a: other.toOther(a), b: other.toOther(b), name: other.name }] : []];
      try {
        const rows = [];
        for (const run of runs) {
          const channels = run.plan.channels.filter(c => shown.has(c.channel)), found = new Map();
          await Promise.all([...Map.groupBy(channels, c => c.sha)].map(async ([sha, of]) => {
            for (const f of await figuresOf(sha, of, run.a, run.b, signal)) found.set(f.channel, f);
          }));
          for (const c of channels) rows.push({ run, c, f: found.get(c.channel) });
        }
        if (band) for (const c of plan.channels.filter(c => shown.has(c.channel) && band.whole.has(c.channel))) {
          const of = await bandOf(c, a, b, band.whole.get(c.channel).asked, 1, signal);
          rows.push({ run: { name: `band of ${of.runs}` }, c, f: { mean: null, minimum: of.lower[0], maximum: of.upper[0], rms: null, standardDeviation: null, peakToPeak: null, samples: 0, band: of } });
        }
        const n = v => v === null ? '' : figure(v);
        figures.replaceChildren(
          Object.assign(document.createElement('p'), { className: 'say-figures', textContent: `From ${a.toFixed(3)} to ${b.toFixed(3)} s, ${(b - a).toFixed(3)} s long, from every sample recorded there. ± is the standard uncertainty of the mean.` }),
          Scale.table('Figures of the marked stretch', ['Channel', 'Unit', 'Mean', 'Minimum', 'Maximum', 'Rms', 'Standard deviation', 'Peak to peak', 'Samples'], rows.map(({ run, c, f }) => [
            run.name ? `${c.name}, ${run.name}` : c.name, c.unit,
            f.mean === null ? '' : f.meanUncertainty === null ? figure(f.mean) : `${Scale.within(f.mean, f.meanUncertainty)} ± ${figure(+f.meanUncertainty.toPrecision(1))}`,
            n(f.minimum), n(f.maximum), n(f.rms), n(f.standardDeviation), n(f.peakToPeak), f.band ? `${f.band.runs} runs` : f.samples ? `${Scale.count(f.samples)}${f.missing ? `, ${Scale.count(f.missing)} missing` : ''}` : 'nothing recorded here'])));
      } catch (e) { if (e.name !== 'AbortError') figures.replaceChildren(Object.assign(document.createElement('p'), { className: 'problem', textContent: e.message })); }
    }

    stretch.querySelector('[data-mark]').addEventListener('click', e => { marking = !marking; e.currentTarget.setAttribute('aria-pressed', String(marking)); canvas.classList.toggle('marks', marking); });
    stretch.querySelector('[data-shown]').addEventListener('click', () => { mark(from, to); readSoon(); });
    stretch.querySelector('[data-clear]').addEventListener('click', () => { unmark(); stretch.querySelector('[data-mark]').focus(); });
    stretch.addEventListener('submit', e => { e.preventDefault(); mark(clamp(Number(stretch.elements.from.value), 0, end), clamp(Number(stretch.elements.to.value), 0, end)); readSoon(); });

    // The list is asked for when somebody reaches for it; a run without captures says why it cannot be laid over.
    let listed = null;
    const list = () => listed ??= (async () => {
      try {
        const { runs, references, bands } = await Scale.ask(`/api/v1/units/${encodeURIComponent(plan.unit)}/load-tests/${plan.attempt}/others`);
        for (const b of bands) bandForm.elements.of.append(Object.assign(document.createElement('option'), { value: b.id, textContent: `${b.word} · ${b.passed} passed${b.units > b.passed ? `, ${b.units - b.passed} stopped` : ''}` }));
        for (const [label, same] of [['References on this rig', true], ['References on other rigs', false]]) {
          const group = Object.assign(document.createElement('optgroup'), { label });
          for (const r of references.filter(r => r.sameRig === same)) group.append(Object.assign(document.createElement('option'), { value: `${r.unit}/${r.attempt}`, textContent: [r.name, r.rig, r.at.slice(0, 16).replace('T', ' '), { good: 'read right', out: 'read wrong', stopped: 'stopped as it should be', passed: 'passed, which it should not', 'warm-up': 'warm-up', problem: 'could not be judged' }[r.outcome] ?? r.outcome].join(' · ') }));
          if (group.childElementCount) others.append(group);
        }
        const groups = [['Same lot', r => r.sameLots.length > 0], ['Same rig', r => r.sameRig], ['Others', () => true]], left = new Set(runs);
        for (const [label, of] of groups) {
          const group = Object.assign(document.createElement('optgroup'), { label });
          for (const r of [...left].filter(of)) {
            left.delete(r);
            const word = [`${r.serial ?? r.unit}${r.attempt > 1 ? `, attempt ${r.attempt}` : ''}`, r.rig + (r.sameRig ? ' (same)' : ''), { pass: 'passed', fail: 'failed', hold: 'held' }[r.verdict] ?? r.verdict, ...r.sameLots.length ? [`same ${r.sameLots.join(', ')}`] : [], ...r.state === 'kept' ? [] : [r.state === 'retired' ? 'captures retired' : 'captures missing']];
            group.append(Object.assign(document.createElement('option'), { value: `${r.unit}/${r.attempt}`, textContent: word.join(' · '), disabled: r.state !== 'kept' }));
          }
          if (group.childElementCount) others.append(group);
        }
        otherWord.textContent = runs.length === 0 && references.length === 0 ? 'No other run of this product has been judged yet.' : runs.length > 0 && references.length === 0 && runs.every(r => r.state !== 'kept') ? 'The captures of all other runs are retired under the plant\'s rule.' : '';
      } catch (e) { otherWord.textContent = e.message; listed = null; }
    })();
    for (const choice of [others, bandForm.elements.of]) for (const near of ['pointerenter', 'focus']) choice.addEventListener(near, list);
    others.addEventListener('change', async () => {
      other = null; tellBeside(); redraw();
      if (others.value === '') { otherWord.textContent = ''; if (marked) readSoon(); return; }
      const asked = others.value, [unit, attempt] = asked.split('/');
      otherWord.textContent = 'The other run is fetched.';
      try {
        const laid = await Scale.ask(`/api/v1/units/${encodeURIComponent(unit)}/load-tests/${attempt}/traces`);
        if (others.value !== asked) return;
        const knots = plan.windows.flatMap(w => { const o = laid.windows.find(o => o.point === w.point); return o ? [[w.fromS, o.fromS], [w.toS, o.toS]] : []; });
        const back = t => along(knots.map(([x, y]) => [y, x]), t), points = knots.length / 2;
        other = { plan: laid, name: unit, whole: new Map(), near: new Map(), toOther: t => along(knots, t), inOwnTime: t => ({ ...t, timeS: t.timeS.map(back) }) };
        otherWord.textContent = points ? `${laid.unit} on ${laid.rig}, dashed: ${points} load ${points === 1 ? 'point lies' : 'points lie'} upon each other.` : `${laid.unit} on ${laid.rig}, dashed: without steady windows in both, both run from their own start.`;
        tellBeside(); redraw(); await askOther(); askNear(); if (marked) readSoon();
      } catch (e) { otherWord.textContent = e.message; }
    });
    bandForm.addEventListener('submit', e => e.preventDefault());
    bandForm.addEventListener('change', async () => {
      band?.asking?.abort();
      const of = bandForm.elements.of.value;
      band = of === '' ? null : { of, stopped: bandForm.elements.stopped.checked, most: Infinity, whole: new Map(), near: new Map() };
      bandStop.hidden = true;
      bandWord.textContent = band ? 'The runs are read.' : '';
      tellBeside(); redraw();
      await askBand(); if (marked) readSoon();
    });
    bandStop.addEventListener('click', () => {
      band?.asking?.abort();
      bandStop.hidden = true;
      if (band && !band.whole.size) { band = null; bandForm.elements.of.value = ''; bandWord.textContent = ''; tellBeside(); }
      bandForm.elements.of.focus();
    });

    // The drawings over the angle hold the same beside it.
    function tellBeside() {
      Scale.beside.set(canvas.id, { other: other && { unit: other.plan.unit, attempt: other.plan.attempt, name: other.name }, band: band && { of: band.of, stopped: band.stopped } });
      document.dispatchEvent(new CustomEvent('besidechange', { detail: canvas.id }));
    }
    addEventListener('themechange', redraw);
    new ResizeObserver(redraw).observe(canvas);
    document.fonts?.ready.then(redraw);
    view(0, end);
    // Nothing is asked for a drawing that nobody has scrolled to.
    new IntersectionObserver((seen, me) => { if (seen.some(s => s.isIntersecting)) { me.disconnect(); askWhole(); } }, { rootMargin: '400px' }).observe(canvas);
  }

  // On straight lines between knots, beyond them at the same rate.
  function along(knots, t) {
    if (!knots.length) return t;
    const i = knots.findIndex(k => k[0] > t), a = knots[i - 1], b = knots[i];
    if (i === 0) return t + b[1] - b[0];
    if (i < 0) return t + knots.at(-1)[1] - knots.at(-1)[0];
    return a[1] + (t - a[0]) / (b[0] - a[0]) * (b[1] - a[1]);
  }

  const typicalStep = times => times.length < 3 ? Infinity : [...times.slice(1)].map((t, i) => t - times[i]).sort((a, b) => a - b)[Math.floor((times.length - 1) / 2)];
})();
