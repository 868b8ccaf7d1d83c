// htmx 4.0.1 passes options to parseHTMLUnsafe, which Chromium before 150 refuses: without the method it uses DOMParser.
try {
  Document.parseHTMLUnsafe?.('', {});
} catch {
  Document.parseHTMLUnsafe = undefined;
}

// Every page works without this file. It moves the focus to a form's problems, so that the page is read from there.
const problems = document.querySelector('.problems');
if (problems) problems.focus();

// A button that copies the text of the element it names; without this file the button stays hidden.
for (const button of document.querySelectorAll('button[data-copies]')) {
  button.hidden = !navigator.clipboard;
  button.addEventListener('click', async () => {
    await navigator.clipboard.writeText(document.getElementById(button.dataset.copies).textContent);
    button.textContent = 'Copied';
  });
}

// A box that shows what is typed into the password fields of its form; without this file the box stays hidden.
for (const box of document.querySelectorAll('[data-shows-passwords]')) {
  box.hidden = false;
  box.querySelector('input').addEventListener('change', ({ target }) => {
    const fields = target.form.querySelectorAll('[autocomplete$="-password"]');
    for (const field of fields) field.type = target.checked ? 'text' : 'password';
  });
}
