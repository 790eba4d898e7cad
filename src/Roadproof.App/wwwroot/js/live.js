// Keeps a page true while it is looked at: when the ledger grows, the page is fetched again and the parts marked data-live are patched in place,
// so that focus, scroll, zoom, open folds and what is being typed stay as they are.
(() => {
  const LEAST_MS = 1000, MOST_MS = 15000;
  let last = 0, timer = 0, fetching = false, again = false, source = null, wait = 1000;

  const clock = () => document.querySelector('[data-clock]')?.textContent.trim() ?? '';
  const banner = () => document.getElementById('offline');

  function connected(yes) {
    const b = banner();
    if (!b || b.hidden === yes) return;
    if (!yes) b.querySelector('[data-from]').textContent = clock();
    b.hidden = yes;
  }

  // Same element kept, attributes and children brought in line. What the person did (open folds, typed text) is not undone.
  function patch(old, fresh) {
    if (old.nodeType !== fresh.nodeType || old.nodeName !== fresh.nodeName || keyOf(old) !== keyOf(fresh)) { old.replaceWith(document.importNode(fresh, true)); return; }
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
      if (!twin) { old.insertBefore(document.importNode(f, true), at); continue; }
      if (twin !== at) old.insertBefore(twin, at); else at = at.nextSibling;
      patch(twin, f);
    }
    while (at) { const gone = at; at = at.nextSibling; gone.remove(); }
  }
  const keyOf = n => n.nodeType === Node.ELEMENT_NODE ? (n.id || n.getAttribute('data-key') || '') : '';

  async function refresh() {
    if (fetching) { again = true; return; }
    fetching = true; last = Date.now();
    let text = null;
    try {
      const answer = await fetch(location.href, { headers: { accept: 'text/html' }, cache: 'no-store' });
      if (answer.ok) text = await answer.text();
    } catch { /* no answer: said below */ }
    fetching = false;
    connected(text !== null);
    if (text !== null) {
      const fresh = new DOMParser().parseFromString(text, 'text/html');
      for (const part of document.querySelectorAll('[data-live][id]')) {
        const twin = fresh.getElementById(part.id);
        if (twin) patch(part, twin);
      }
      if (fresh.title) document.title = fresh.title;
    }
    if (again) { again = false; soon(); }
  }

  function soon() {
    clearTimeout(timer);
    if (document.hidden) return;
    timer = setTimeout(refresh, Math.max(0, last + LEAST_MS - Date.now()));
  }

  function listen() {
    source = new EventSource('/api/v1/changes');
    source.addEventListener('ledger', soon);
    source.onopen = () => { if (wait > 1000 || !banner()?.hidden) soon(); wait = 1000; connected(true); };
    source.onerror = () => {
      connected(false);
      if (source.readyState !== EventSource.CLOSED) return; // the browser tries again by itself
      setTimeout(listen, wait);
      wait = Math.min(wait * 2, MOST_MS);
    };
  }

  if (document.querySelector('[data-live]')) {
    listen();
    setInterval(soon, MOST_MS);
    document.addEventListener('visibilitychange', soon);
    addEventListener('online', soon);
    addEventListener('offline', () => connected(false));
    addEventListener('pagehide', () => source?.close());
  }
})();
