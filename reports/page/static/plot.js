// Lets a chart answer: a finger or a pointer on it, or the keys on its slider, move a line; below it stands what
// was so then. All words come from the page. Without this the chart and its table say the same.
"use strict";
(() => {
  const SVG = "http://www.w3.org/2000/svg";
  const QUIET_MS = 600; // a moving finger is told of once it rests

  const unpack = ({ texts, runs }) => {
    const found = [];
    for (let n = 0; n < runs.length; n += 2) for (let left = runs[n + 1]; left > 0; left--) found.push(texts[runs[n]]);
    return found;
  };

  const start = (plot) => {
    const told = JSON.parse(plot.querySelector("script").textContent);
    const [first, step, last, count] = told.at;
    const [began, edge] = told.span;
    const series = told.said.map((one) => ({ name: one.name, at: unpack(one) }));
    const ask = plot.querySelector(".plot-ask");
    const slider = ask.querySelector("input");
    const answer = ask.querySelector(".plot-answer");
    const status = ask.querySelector("[role=status]");
    const listed = [...plot.querySelectorAll("[data-at]")].map((item) => ({
      from: Number(item.dataset.at),
      to: Number(item.dataset.to || item.dataset.at),
      text: item.querySelector("span").textContent,
    }));
    const fields = [...plot.querySelectorAll("[role=img] .plot-field")];
    const lines = fields.map((field) => {
      const line = document.createElementNS(SVG, "line");
      line.setAttribute("class", "cursor");
      line.setAttribute("y2", field.getAttribute("height"));
      return line;
    });
    let shown = false;
    let resting = 0;

    const moment = (n) => Math.min(first + n * step, last);
    const local = (at) => {
      const ahead = told.clock.filter(([from]) => from <= at).pop() || told.clock[0];
      return at + ahead[1];
    };
    const day = (seconds) => Math.floor(seconds / 86400);
    const when = (at) => {
      const clock = new Date(local(at) * 1000).toISOString().slice(11, 16);
      return told.when.replace("{day}", told.days[day(local(at)) - day(local(first))]).replace("{clock}", clock);
    };
    const near = (at) => listed.filter(({ from, to }) => from - step / 2 <= at && at < Math.max(to, from + step / 2));
    const said = (n) => {
      const values = series.filter((one) => one.at[n]).map((one) => `${one.name} ${one.at[n]}`);
      const what = [...values, ...near(moment(n)).map((one) => one.text)].join("; ") || told.nothing;
      return when(moment(n)).replace("{what}", what);
    };
    const show = (n) => {
      const share = `${(100 * (moment(n) - began)) / (edge - began)}%`;
      lines.forEach((line, at) => {
        line.setAttribute("x1", share);
        line.setAttribute("x2", share);
        if (!shown) fields[at].append(line);
      });
      shown = true;
      ask.classList.add("asked");
      const text = said(n);
      answer.textContent = text;
      slider.setAttribute("aria-valuetext", text);
      return text;
    };
    const point = (event) => {
      const box = fields[0].getBoundingClientRect();
      const at = began + ((event.clientX - box.left) / box.width) * (edge - began);
      slider.value = String(Math.min(Math.max(Math.round((at - first) / step), 0), count - 1));
      const text = show(Number(slider.value));
      clearTimeout(resting);
      resting = setTimeout(() => { status.textContent = text; }, QUIET_MS);
    };

    fields.forEach((field) => {
      field.addEventListener("pointerdown", point);
      field.addEventListener("pointermove", point);
    });
    // The slider's own value text tells a listener already.
    slider.addEventListener("input", () => show(Number(slider.value)));
    slider.value = String(count - 1);
    answer.textContent = said(count - 1);
    slider.setAttribute("aria-valuetext", answer.textContent);
    // The slider ends where the past does; its thumb is as wide as what it reaches past the plot (plot.css).
    slider.style.width = `calc((100% - 56px) * ${(last - began) / (edge - began)} + 24px)`;
    ask.hidden = false;
  };

  document.querySelectorAll("figure.plot").forEach(start);
})();
