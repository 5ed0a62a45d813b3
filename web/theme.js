// The theme that was chosen here, before anything is painted.
try {
  const theme = localStorage.getItem("layshaft/theme");
  if (theme) document.documentElement.dataset.theme = theme;
} catch {}
