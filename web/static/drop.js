// Files may be dropped anywhere on the page that takes files.
const drop = document.querySelector('form[data-drop]');
if (drop) {
  document.documentElement.classList.add('js-drop');
  for (const name of ['dragover', 'dragleave', 'drop']) {
    document.addEventListener(name, (e) => {
      if (!e.dataTransfer?.types.includes('Files')) return;
      e.preventDefault();
      drop.classList.toggle('over', name === 'dragover');
      if (name !== 'drop' || !e.dataTransfer.files.length) return;
      drop.querySelector('input[type=file]').files = e.dataTransfer.files;
      drop.requestSubmit();
    });
  }
}
