// Before the first paint, so that a chosen theme never flashes. A file of its own because the page allows no inline script.
try {
  const theme = localStorage.getItem('hexcairn-theme')
  if (theme === 'light' || theme === 'dark') document.documentElement.dataset.theme = theme
} catch {
  // Storage may be forbidden; then the system's theme stands.
}
