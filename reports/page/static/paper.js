// The button to print works where there is a script; without one it stays away.
const button = document.getElementById("print");
button.hidden = false;
button.addEventListener("click", () => window.print());
