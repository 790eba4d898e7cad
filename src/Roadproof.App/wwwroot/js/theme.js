// Paper or ink, or whatever the machine prefers; remembered on this screen. Loaded before the page is drawn so that nothing flashes.
(() => {
  const root = document.documentElement, next = { auto: 'light', light: 'dark', dark: 'auto' };
  const word = { auto: 'as the screen prefers', light: 'paper', dark: 'ink' };
  let theme = 'auto';
  try { theme = new URLSearchParams(location.search).get('theme') || localStorage.getItem('roadproof-theme') || 'auto'; } catch { /* a locked browser: no memory */ }
  if (!(theme in next)) theme = 'auto';

  const apply = () => {
    if (theme === 'auto') delete root.dataset.theme; else root.dataset.theme = theme;
    for (const b of document.querySelectorAll('[data-theme-button]')) {
      b.setAttribute('aria-label', `Colours: ${word[theme]}. Change to ${word[next[theme]]}`);
      b.title = `Colours: ${word[theme]}`;
    }
    dispatchEvent(new Event('themechange'));
  };

  apply();
  document.addEventListener('DOMContentLoaded', apply);
  document.addEventListener('click', e => {
    if (!e.target.closest('[data-theme-button]')) return;
    theme = next[theme];
    try { localStorage.setItem('roadproof-theme', theme); } catch { /* not remembered */ }
    apply();
  });
  matchMedia('(prefers-color-scheme: dark)').addEventListener('change', () => dispatchEvent(new Event('themechange')));
})();
