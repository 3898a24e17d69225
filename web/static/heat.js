// The heat page: parts that take some seconds come one after the other, and the
// pictures of the mould become one with a slider, which arrow keys move too.
// Without this file each part has a link, and all pictures are shown.

document.documentElement.classList.add('js');
const box = document.querySelector('[data-parts]');

function bindFrames(root) {
  for (const box of root.querySelectorAll('[data-frames]')) {
    const slider = box.querySelector('input[type=range]'), said = box.querySelector('output');
    const figures = [...box.querySelectorAll('figure')];
    const show = () => {
      figures.forEach((f, i) => { f.hidden = i !== Number(slider.value); });
      said.textContent = slider.ariaValueText = figures[slider.value].dataset.at;
    };
    slider.max = figures.length - 1;
    slider.addEventListener('input', show);
    box.classList.add('bound');
    show();
  }
}

async function fetchPart(name) {
  const answer = await fetch(`${box.dataset.parts}&part=${name}`);
  const doc = new DOMParser().parseFromString(await answer.text(), 'text/html');
  for (const fresh of doc.querySelectorAll('[data-parts] [data-part]:not([data-later])')) {
    box.querySelector(`[data-part="${CSS.escape(fresh.dataset.part)}"]`).replaceWith(fresh);
  }
  bindFrames(box);
}

if (box) {
  bindFrames(box);
  const waiting = new Set([...box.querySelectorAll('[data-later]')].map((part) => part.dataset.part));
  waiting.delete('section'); // comes with the forecast
  for (const name of waiting) {
    try {
      await fetchPart(name);
    } catch {
      box.querySelector(`[data-part="${CSS.escape(name)}"] .waits`).textContent = 'Barwright does not answer. Load the page again.';
    }
  }
}
