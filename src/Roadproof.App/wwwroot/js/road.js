// The Road page and what is computed of its rides: while rides are worked out a page is looked at every second, and files are sent one by one with the outcome of each.
(() => {
  const look = () => document.dispatchEvent(new Event('roadproof-look'));
  setInterval(() => { if (document.querySelector('[data-road-working]')) look(); }, 1000);

  const form = document.querySelector('form[data-send-rides]');
  form?.addEventListener('submit', async e => {
    e.preventDefault();
    const files = [...form.elements.files.files], person = form.elements.person.value.trim();
    const list = document.querySelector('[data-sent]'), sum = document.querySelector('[data-sent-sum]'), button = form.querySelector('button');
    const count = { kept: 0, 'already-there': 0, refused: 0 };
    button.disabled = true;
    list.replaceChildren();
    const put = (line, outcome, word, reasons = []) => {
      line.className = outcome;
      line.querySelector('span').textContent = word;
      for (const r of reasons) { const small = document.createElement('small'); small.textContent = r; line.append(small); }
    };
    for (const [i, file] of files.entries()) {
      sum.textContent = `Sending ${i + 1} of ${files.length}: ${file.name}`;
      const line = document.createElement('li'), name = document.createElement('b');
      name.textContent = file.name;
      line.append(name, ' ', document.createElement('span'));
      list.append(line);
      try {
        const asked = new URLSearchParams({ name: file.name });
        if (person) asked.set('person', person);
        const answer = await fetch(`/api/v1/rides?${asked}`, { method: 'POST', body: file, headers: { 'content-type': 'application/octet-stream' } });
        const said = await answer.json();
        if (answer.ok) { const { outcome } = said.files[0]; count[outcome]++; put(line, outcome, outcome === 'kept' ? 'kept' : 'there already'); }
        else { count.refused++; put(line, 'refused', 'refused', said.errors?.map(x => `${x.line > 0 ? `Line ${x.line}: ` : ''}found ${x.found}, expected ${x.expected}. ${x.hint ?? ''}`) ?? [`${said.title} ${said.detail ?? ''}`]); }
      } catch { count.refused++; put(line, 'refused', 'not sent', ['The line did not answer. Send the file again; what was kept is kept once.']); }
      look();
    }
    sum.textContent = `${count.kept} ${count.kept === 1 ? 'ride' : 'rides'} kept, ${count['already-there']} there already, ${count.refused} refused.`;
    button.disabled = false;
    form.elements.files.value = '';
    look();
  });
})();
