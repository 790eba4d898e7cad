// Arrow keys walk through the stages.
document.addEventListener('keydown', e => {
  if (e.ctrlKey || e.metaKey || e.altKey || e.target.closest('input, textarea, select, canvas')) return;
  const rel = { ArrowRight: 'next', PageDown: 'next', ArrowLeft: 'prev', PageUp: 'prev' }[e.key];
  const link = rel && document.querySelector(`.walk a[rel=${rel}][href]`);
  if (link) { e.preventDefault(); link.click(); }
});
