// A station's scan field is always ready: what a scanner types lands in it wherever the last touch was, and a refusal is not scanned away by accident.
(() => {
  const field = () => document.querySelector('[data-scan] input[name=code]');
  if (!document.querySelector('.bench-main, [data-scan]')) return;
  let sent = false;
  field()?.focus({ preventScroll: true }); // what is said first stays in sight

  document.addEventListener('keydown', e => {
    const f = field();
    if (!f || e.ctrlKey || e.metaKey || e.altKey || e.key.length !== 1 || e.target === f || e.target.matches('input, textarea, select')) return;
    f.focus(); // the key itself then lands in the field
  });

  // Buttons keep the focus that the keyboard gave them; a touch elsewhere gives it back.
  document.addEventListener('pointerup', e => { if (!e.target.closest('a, button, input, summary')) field()?.focus(); });

  // A scanner that sends twice must not post twice.
  document.addEventListener('submit', e => {
    if (!e.target.closest('[data-scan]')) return;
    if (sent) { e.preventDefault(); return; }
    sent = true;
  });
  addEventListener('pageshow', () => { sent = false; });
})();
