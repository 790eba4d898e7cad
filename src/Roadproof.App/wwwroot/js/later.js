// Parts that the server is still working out when a page is asked for: the page is asked for once more, answers when they are done, and they stand in their places.
(async () => {
  const parts = [...document.querySelectorAll('[data-later]')];
  if (!parts.length) return;
  const whole = new URL(location.href);
  whole.searchParams.set('wait', 'true');
  try {
    const answer = await fetch(whole, { headers: { accept: 'text/html' } });
    if (!answer.ok) throw new Error();
    const fresh = new DOMParser().parseFromString(await answer.text(), 'text/html');
    for (const part of parts) { const twin = fresh.getElementById(part.id); if (twin) part.replaceWith(document.importNode(twin, true)); }
  } catch {
    for (const said of document.querySelectorAll('[data-later] [role=status]')) said.textContent = 'The line did not answer. Load the page again.';
  }
})();
