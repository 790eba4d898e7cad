// Keeps a page true while it is looked at: when the ledger grows, the page is fetched again and the parts marked data-live are patched in place,
// so that focus, scroll, zoom, open folds and what is being typed stay as they are.
(() => {
  const LEAST_MS = 1000, MOST_MS = 15000, RETRY_MS = 2000, SILENCE_MS = 6000; // silence: three beats of the server
  let last = 0, timer = 0, fetching = false, again = false, source = null, silence = 0, heard = true, answered = true, fields = new Map();

  const clock = () => document.querySelector('[data-clock]')?.textContent.trim() ?? '';
  const banner = () => document.getElementById('offline');

  // Both must be well: an answer that was under way when the line broke is no sign that the line is back, and a stream alone brings no figures.
  function say() {
    const b = banner(), well = heard && answered;
    if (!b || b.hidden === well) return;
    if (!well) b.querySelector('[data-from]').textContent = clock();
    b.hidden = well;
  }

  // Same element kept, attributes and children brought in line. What the person did (open folds, typed text) is not undone.
  function patch(old, fresh) {
    if (old.nodeType !== fresh.nodeType || old.nodeName !== fresh.nodeName || keyOf(old) !== keyOf(fresh)) { old.replaceWith(made(fresh)); return; }
    if (old.nodeType === Node.TEXT_NODE) { if (old.data !== fresh.data) old.data = fresh.data; return; }
    if (old.nodeType !== Node.ELEMENT_NODE || old.hasAttribute('data-keep')) return;
    for (const { name } of [...old.attributes]) if (!fresh.hasAttribute(name) && name !== 'open') old.removeAttribute(name);
    for (const { name, value } of fresh.attributes) if (name !== 'open' && name !== 'autofocus' && old.getAttribute(name) !== value) old.setAttribute(name, value);
    if (old.matches('input, textarea, select') ) return;
    const mine = [...old.childNodes], theirs = [...fresh.childNodes];
    const byKey = new Map(mine.filter(keyOf).map(n => [keyOf(n), n]));
    let at = old.firstChild;
    for (const f of theirs) {
      const k = keyOf(f), twin = k ? byKey.get(k) : (at && !keyOf(at) ? at : null);
      if (!twin) { old.insertBefore(made(f), at); continue; }
      if (twin !== at) old.insertBefore(twin, at); else at = at.nextSibling;
      patch(twin, f);
    }
    while (at) { const gone = at; at = at.nextSibling; gone.remove(); }
  }
  // A field moves along with what was typed into it when the part around it is drawn anew.
  function made(fresh) {
    const copy = document.importNode(fresh, true);
    for (const field of copy.querySelectorAll?.('input[id], textarea[id], select[id]') ?? []) {
      const typed = fields.get(field.id);
      if (typed) { patch(typed, field); field.replaceWith(typed); }
    }
    return copy;
  }
  const keyOf = n => n.nodeType === Node.ELEMENT_NODE ? (n.id || n.getAttribute('data-key') || '') : '';

  async function refresh() {
    if (fetching) { again = true; return; }
    fetching = true; last = Date.now();
    let text = null;
    try {
      const answer = await fetch(location.href, { headers: { accept: 'text/html' }, cache: 'no-store', signal: AbortSignal.timeout(MOST_MS) });
      if (answer.status < 500) text = await answer.text(); // "there is no such unit" is a page as well
    } catch { /* no answer: said below */ }
    fetching = false;
    answered = text !== null;
    say();
    if (answered) {
      const fresh = new DOMParser().parseFromString(text, 'text/html'), focused = document.activeElement;
      fields = new Map([...document.querySelectorAll('input[id], textarea[id], select[id]')].map(f => [f.id, f]));
      for (const part of document.querySelectorAll('[data-live][id]')) {
        const twin = fresh.getElementById(part.id);
        if (twin) patch(part, twin);
      }
      if (focused.isConnected && focused !== document.activeElement) focused.focus({ preventScroll: true });
      if (fresh.title) document.title = fresh.title;
    }
    if (again || (heard && !answered)) { again = false; soon(); }
  }

  function soon() {
    clearTimeout(timer);
    if (document.hidden) return;
    timer = setTimeout(refresh, Math.max(0, last + LEAST_MS - Date.now()));
  }

  // A network that goes away ends no connection: the server's beat that stays out is the only sign.
  function listen() {
    source = new EventSource('/api/v1/changes');
    source.addEventListener('ledger', () => { hear(); soon(); });
    source.addEventListener('beat', hear);
    source.addEventListener('bench', () => { hear(); if (document.getElementById('bench-top')) soon(); }); // no record tells it: only a station shows it
    source.onerror = lose;
    expect();
  }
  function expect() { clearTimeout(silence); silence = setTimeout(lose, SILENCE_MS); }
  function hear() { heard = true; say(); expect(); }
  function lose() {
    source.close();
    heard = false; say();
    clearTimeout(silence); silence = setTimeout(listen, RETRY_MS);
  }

  if (document.querySelector('[data-live]')) {
    listen();
    setInterval(soon, MOST_MS);
    document.addEventListener('visibilitychange', soon);
    document.addEventListener('roadproof-look', soon); // another script knows of something that no record tells
    addEventListener('pagehide', () => { source.close(); clearTimeout(silence); });
    addEventListener('pageshow', e => { if (e.persisted) listen(); });
  }
})();
