// A page is left only once it is saved. Whatever stands in the way, something
// to correct, a full disk, a computer that was switched off, what was typed stays
// on the screen. Without this file the same forms are posted by the browser.

document.addEventListener('submit', (e) => {
  if (e.defaultPrevented || !e.target.matches('form[data-save]') || e.submitter?.hasAttribute('data-plain')) return;
  e.preventDefault();
  save(e.target, e.submitter);
});

async function save(form, button) {
  if (form.inert) return; // it is under way
  const body = new FormData(form);
  if (button?.name) body.append(button.name, button.value);
  form.querySelector('.not-saved')?.remove();
  form.inert = true;
  try {
    const answer = await fetch(form.action, {
      method: 'POST', headers: {'Barwright-Saving': '1'},
      body: form.enctype === 'multipart/form-data' ? body : new URLSearchParams(body),
    });
    if (answer.status === 204) {
      go(answer.headers.get('Location'));
      return; // inert until the page is gone
    }
    show(form, button, new DOMParser().parseFromString(await answer.text(), 'text/html'));
  } catch {
    say(form, button, 'Not saved: Barwright does not answer. What you typed is still here; save again once it answers.');
  }
  form.inert = false;
}

// go leaves for a page, also when it is this one at another place.
function go(to) {
  const there = new URL(to, location);
  if (there.pathname === location.pathname && there.search === location.search) {
    history.replaceState(null, '', there);
    location.reload();
  } else {
    location.assign(there);
  }
}

// show puts the answer in the place of the page, or says what it says.
function show(form, button, doc) {
  const fresh = doc.querySelector('form[data-save]');
  if (!fresh) {
    const words = [...doc.querySelectorAll('main h1, main p:not(:has(a))')].map((e) => e.textContent.trim());
    say(form, button, `Not saved. ${words.join(' ')} What you typed is still here.`);
    return;
  }
  if (form.hasAttribute('data-live')) {
    form.replaceChildren(...fresh.childNodes);
    form.setAttribute('data-unsaved', '');
    form.dispatchEvent(new Event('not-saved'));
  } else {
    document.getElementById('main').replaceChildren(...doc.getElementById('main').childNodes);
  }
  read([...document.querySelectorAll('main [role=alert]')].find((e) => e.checkVisibility()));
}

function say(form, button, words) {
  const told = document.createElement('div');
  told.className = 'wrong not-saved';
  told.setAttribute('role', 'alert');
  told.append(document.createElement('p'));
  told.firstChild.textContent = words;
  (form.contains(button?.parentElement) && button.parentElement !== form ? button.parentElement : form.firstElementChild).before(told);
  form.setAttribute('data-unsaved', '');
  read(told);
}

// read takes the reader to what is to be read first.
function read(alert) {
  if (!alert) return;
  alert.tabIndex = -1;
  alert.focus({preventScroll: true});
  alert.scrollIntoView({block: 'center'});
}

// Come back to by the browser's button, a page that was saved is loaded anew.
window.addEventListener('pageshow', (e) => {
  if (e.persisted && document.querySelector('form[data-save][inert]')) location.reload();
});
