"use strict";
// A cell counts as the number it begins with; a cell without one comes last.
const figure = (cell) => {
  const found = cell.textContent.trim().replace(/\u2212/g, "-").match(/^[<>≥≤±~ ]*([-+]?\d[\d ]*(?:\.\d+)?(?:e[-+]?\d+)?)/i);
  return found ? Number(found[1].replace(/ /g, "")) : null;
};
for (const table of document.querySelectorAll("table")) {
  const body = table.tBodies[0];
  if (!body || body.rows.length < 3) continue;
  [...table.tHead.rows[0].cells].forEach((heading, column) => {
    if (!heading.textContent.trim()) return;
    const button = document.createElement("button");
    button.type = "button";
    button.append(...heading.childNodes);
    heading.append(button);
    button.addEventListener("click", () => {
      const turn = heading.getAttribute("aria-sort") === "ascending" ? -1 : 1;
      for (const other of table.tHead.rows[0].cells) other.removeAttribute("aria-sort");
      heading.setAttribute("aria-sort", turn === 1 ? "ascending" : "descending");
      const rows = [...body.rows];
      const numbers = rows.map((row) => figure(row.cells[column]));
      const isNumeric = numbers.filter((n) => n !== null).length * 2 > rows.length;
      const order = rows.map((row, position) => ({ row, number: numbers[position], text: row.cells[column].textContent }));
      order.sort((a, b) => {
        if (!isNumeric) return turn * a.text.localeCompare(b.text, "en", { numeric: true });
        if (a.number === null || b.number === null) return (a.number === null) - (b.number === null);
        return turn * (a.number - b.number);
      });
      body.append(...order.map((entry) => entry.row));
    });
  });
}
// What is folded opens for whoever follows a link into it, and for the printer.
const unfold = () => {
  const target = document.getElementById(decodeURIComponent(location.hash.slice(1)));
  const folded = target && target.closest("details");
  if (folded && !folded.open) {
    folded.open = true;
    target.scrollIntoView();
  }
};
addEventListener("hashchange", unfold);
unfold();
addEventListener("beforeprint", () => document.querySelectorAll("details").forEach((folded) => { folded.open = true; }));
