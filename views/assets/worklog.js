// Every page works without this file. It keeps what is typed into a form of the work log on this phone, sends it when
// there is signal again, and has the form of a new entry ready without signal.

const prefix = 'worklog:';
/** Days that a form which was never sent is kept. */
const keptDays = 60;

const keyOf = (path) => prefix + path;

/** What was typed, by the address of its form. */
function kept() {
  const found = [];
  for (let index = 0; index < localStorage.length; index += 1) {
    const key = localStorage.key(index);
    if (!key.startsWith(prefix)) continue;
    try {
      found.push({ key, ...JSON.parse(localStorage.getItem(key)) });
    } catch {
      localStorage.removeItem(key);
    }
  }
  return found;
}

/** Random text that tells the server that a form came before; known where there is no secure context, too. */
function newSendKey() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return [...bytes].map((byte) => byte.toString(16).padStart(2, '0')).join('');
}

const fieldsOf = (form) => [...new FormData(form)].filter(([, value]) => typeof value === 'string');

function keep(form, change) {
  const key = keyOf(location.pathname + location.search);
  const draft = {
    action: form.getAttribute('action'),
    page: location.pathname + location.search,
    fields: fieldsOf(form),
    keptAt: Date.now(),
    isWaiting: false,
    ...change,
  };
  try {
    localStorage.setItem(key, JSON.stringify(draft));
    return { key, ...draft };
  } catch {
    // The browser keeps nothing here; the form still works with signal.
    return null;
  }
}

/** Forgets an entry that is written, whatever page it was typed on: a refused form comes back at another address. */
function forget(written) {
  const keyIn = ({ fields }) => fields.find(([name]) => name === 'sendKey')?.[1];
  if (written.key) localStorage.removeItem(written.key);
  for (const draft of kept())
    if (keyIn(written) && keyIn(draft) === keyIn(written)) localStorage.removeItem(draft.key);
}

/** Puts what was typed back into its form. */
function restore(form, fields) {
  const values = new Map();
  for (const [name, value] of fields) values.set(name, [...(values.get(name) ?? []), value]);
  for (const input of form.elements) {
    if (!input.name || input.type === 'file') continue;
    const given = values.get(input.name);
    if (input.type === 'radio' || input.type === 'checkbox')
      input.checked = given?.includes(input.value) ?? false;
    else if (given) input.value = given[0];
  }
  const more = form.querySelector('details');
  if (
    more &&
    [...more.querySelectorAll('input:not([type="hidden"]), textarea')].some((one) => one.value)
  )
    more.open = true;
}

/** The address names unit, treatment and task; a form that was kept for all of them is filled in from it. */
function fillFromAddress(form) {
  const asked = new URLSearchParams(location.search);
  const task = asked.get('task');
  const fill = (name, value) => {
    const input = form.elements.namedItem(name);
    if (!value || !input || input.value === value) return;
    if (input.tagName === 'SELECT' && ![...input.options].some((one) => one.value === value)) {
      if (name !== 'taskKey') return;
      input.add(new Option('the one it was opened for', value));
    }
    input.value = value;
  };
  fill('unitId', asked.get('unit') ?? /^unit:(\d+)\//.exec(task ?? '')?.[1]);
  fill('treatmentKey', asked.get('treatment'));
  fill('taskKey', task);
}

const note = document.querySelector('[data-kept-note]');

function say(text, ...buttons) {
  if (!note) return;
  note.hidden = false;
  note.setAttribute('role', 'status');
  note.replaceChildren(text, ...buttons.flatMap((one) => [' ', one]));
}

function button(text, press) {
  const made = document.createElement('button');
  made.type = 'button';
  made.textContent = text;
  made.addEventListener('click', press);
  return made;
}

const waitingWords =
  'No signal: kept on this phone, and sent when there is signal. Add photos on the page of the entry then.';

const signedOutWords = 'You are signed out: kept on this phone, and sent once you have signed in.';

/** True when the answer is the page that a form leads to once it is taken. */
const isTaken = (answer) =>
  answer.ok && answer.redirected && /^\/(worklog|crew|units)\//.test(new URL(answer.url).pathname);

async function send(draft) {
  return fetch(draft.action, {
    method: 'POST',
    headers: { 'content-type': 'application/x-www-form-urlencoded' },
    body: new URLSearchParams(draft.fields),
  });
}

/** True when the person has to sign in first. */
const isSignedOut = (answer) =>
  answer.status === 401 || (answer.redirected && new URL(answer.url).pathname === '/sign-in');

/** Sends what waits on this phone; what the server refuses stays, to be looked at. */
async function sendWaiting() {
  let landed = null;
  for (const draft of kept()) {
    if (Date.now() - draft.keptAt > keptDays * 86_400_000 && !draft.isWaiting)
      localStorage.removeItem(draft.key);
    if (!draft.isWaiting || draft.isRefused) continue;
    try {
      const answer = await send(draft);
      if (isTaken(answer)) {
        forget(draft);
        if (draft.page === location.pathname + location.search) landed = new URL(answer.url);
      } else if (isSignedOut(answer) || answer.status === 429 || answer.status >= 500) break;
      else {
        const { key, ...rest } = draft;
        localStorage.setItem(key, JSON.stringify({ ...rest, isRefused: true }));
      }
    } catch {
      return;
    }
  }
  if (landed?.pathname === location.pathname) location.reload();
  else if (landed) location.assign(landed);
  else tellWaiting();
}

/** On every page: what still waits, with a link to it. */
function tellWaiting() {
  document.querySelector('.kept-list')?.remove();
  const here = location.pathname + location.search;
  const waiting = kept().filter((draft) => draft.isWaiting && draft.page !== here);
  if (waiting.length === 0) return;
  const list = document.createElement('div');
  list.className = 'note kept-list';
  list.setAttribute('role', 'status');
  for (const draft of waiting) {
    const line = document.createElement('p');
    const link = document.createElement('a');
    link.href = draft.page;
    link.textContent = draft.isRefused
      ? 'An entry kept on this phone needs an answer. Open it'
      : 'An entry is kept on this phone and waits for signal. Open it';
    line.append(link);
    list.append(line);
  }
  document.querySelector('#main').prepend(list);
}

function watch(form) {
  const key = keyOf(location.pathname + location.search);
  const sendKey = form.elements.namedItem('sendKey');
  // A refused form comes from the server as it was typed, with its own key.
  const isRefused = form.querySelector('.problems') !== null;
  const before = isRefused ? null : localStorage.getItem(key);
  if (before) {
    const draft = JSON.parse(before);
    restore(form, draft.fields);
    const leave = button('Start again', () => {
      localStorage.removeItem(key);
      location.reload();
    });
    if (draft.isWaiting && !draft.isRefused) say(waitingWords, leave);
    else say('This was typed before and not yet written.', leave);
  } else if (!isRefused) {
    // A page kept for use without signal holds the key of another entry.
    if (sendKey) sendKey.value = newSendKey();
    if (location.pathname === '/worklog/new') fillFromAddress(form);
  }
  const refused = kept().find((draft) => draft.isRefused && draft.key.startsWith(`${key}#`));
  if (refused && !before) {
    restore(form, refused.fields);
    keep(form);
    localStorage.removeItem(refused.key);
    say('This reading was not taken. Look at it and add it again.');
  }
  form.addEventListener('input', () => {
    keep(form);
    if (note && !note.hidden) say('Kept on this phone, not yet written.');
  });
  form.addEventListener('submit', async (event) => {
    event.preventDefault();
    const pressed = event.submitter;
    const extra = pressed?.name ? [[pressed.name, pressed.value]] : [];
    const draft = {
      key,
      action: form.getAttribute('action'),
      fields: [...fieldsOf(form), ...extra],
    };
    keep(form, { fields: draft.fields });
    try {
      const answer = await send(draft);
      if (isTaken(answer)) {
        forget(draft);
        leaveFor(answer.url);
        return;
      }
      if (isSignedOut(answer)) {
        wait(form, draft, signedOutWords);
        return;
      }
    } catch {
      wait(form, draft, waitingWords);
      return;
    }
    // The server says why not on a page of its own; the same key keeps it from being written twice.
    if (pressed?.name) {
      const hidden = document.createElement('input');
      Object.assign(hidden, { type: 'hidden', name: pressed.name, value: pressed.value });
      form.append(hidden);
    }
    form.submit();
  });
}

/** The page that a form leads to, loaded anew also when only the place on it differs. */
function leaveFor(url) {
  const isHere = new URL(url).pathname === location.pathname;
  location.assign(url);
  if (isHere) location.reload();
}

/** Keeps a form to be sent later. Readings are kept one beside the other, and the form is free for the next. */
function wait(form, draft, words) {
  const isList = form.dataset.keeps === 'reading';
  const stored = keep(form, { fields: draft.fields, isWaiting: true });
  if (!stored) {
    say('No signal, and this browser keeps nothing: leave the page open and send again.');
  } else if (isList) {
    const { key, ...rest } = stored;
    localStorage.setItem(`${key}#${newSendKey()}`, JSON.stringify(rest));
    localStorage.removeItem(key);
    form.reset();
    form.elements.namedItem('at').value = new Date().toTimeString().slice(0, 5);
    const count = kept().filter((one) => one.key.startsWith(`${key}#`)).length;
    say(`Readings kept on this phone: ${count}. They are sent when there is signal.`);
  } else say(words);
  note?.scrollIntoView();
}

const form = document.querySelector('form[data-keeps]');
if (form) watch(form);
addEventListener('online', sendWaiting);
sendWaiting().catch(() => {});

if (location.pathname === '/worklog/new' && navigator.serviceWorker)
  navigator.serviceWorker.register('/sw.js').catch(() => {});
