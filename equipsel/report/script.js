"use strict";
// Everything on the page can be read without this script. It adds sorting, filtering and a search.
(() => {
  const make = (tag, text, attributes = {}) => {
    const made = document.createElement(tag);
    if (text) made.textContent = text;
    for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
    return made;
  };
  const plain = (text) => text.normalize("NFKD").toLowerCase();
  const natural = new Intl.Collator("en", { numeric: true });

  const keyOf = (cell) => (cell && cell.dataset.value !== undefined ? Number(cell.dataset.value) : cell ? cell.textContent : "");
  const compare = (a, b) => {
    if (a === "" || b === "") return (a === "") - (b === "");
    if (typeof a === "number" && typeof b === "number") return a - b;
    return natural.compare(String(a), String(b));
  };

  const sortBy = (table, column, heads) => {
    const head = heads[column];
    const falling = head.getAttribute("aria-sort") === "ascending";
    for (const other of heads) other.removeAttribute("aria-sort");
    head.setAttribute("aria-sort", falling ? "descending" : "ascending");
    const body = table.tBodies[0];
    const rows = Array.from(body.rows, (row) => [keyOf(row.cells[column]), row]);
    const isBlank = ([key]) => key === "";
    const known = rows.filter((row) => !isBlank(row)).sort((a, b) => (falling ? compare(b[0], a[0]) : compare(a[0], b[0])));
    body.append(...[...known, ...rows.filter(isBlank)].map(([, row]) => row));
  };

  const makeSortable = (table) => {
    const heads = Array.from(table.tHead.rows[0].cells);
    heads.forEach((head, column) => {
      const button = make("button", head.textContent, { type: "button" });
      button.addEventListener("click", () => sortBy(table, column, heads));
      head.replaceChildren(button);
    });
  };

  const makeFilter = (table) => {
    const rows = Array.from(table.tBodies[0].rows);
    let texts;
    const label = make("label", "Filter rows ");
    const field = make("input", "", { type: "search", autocomplete: "off" });
    const told = make("span", "", { role: "status" });
    field.setAttribute("aria-label", "Filter rows of: " + table.caption.textContent);
    const apply = () => {
      texts ??= rows.map((row) => plain(Array.from(row.cells, (cell) => cell.textContent).join(" ")));
      const words = plain(field.value).split(/\s+/).filter(Boolean);
      let shown = 0;
      rows.forEach((row, at) => {
        row.hidden = !words.every((word) => texts[at].includes(word));
        shown += row.hidden ? 0 : 1;
      });
      told.textContent = words.length ? ` ${shown} of ${rows.length} rows` : "";
    };
    field.addEventListener("input", apply);
    table.addEventListener("showall", () => { field.value = ""; apply(); });
    label.append(field);
    const tools = make("p", "", { class: "tools" });
    tools.append(label, told);
    table.parentElement.before(tools);
  };

  for (const table of document.querySelectorAll("table.sort")) {
    makeSortable(table);
    if (table.tBodies[0].rows.length > 5) makeFilter(table);
  }

  // A link may lead to a row that a filter hides, or into closed details.
  const reveal = () => {
    const target = document.getElementById(decodeURIComponent(location.hash.slice(1)));
    if (!target) return;
    const row = target.closest("tr");
    if (row && row.hidden) row.closest("table").dispatchEvent(new Event("showall"));
    for (let above = target.closest("details"); above; above = above.parentElement.closest("details")) above.open = true;
    target.scrollIntoView({ block: "center" });
  };
  window.addEventListener("hashchange", reveal);
  if (location.hash) reveal();

  // The search: names of devices, units and places, by what the page itself says of them.
  const nameCells = "tr[id] > th";
  if (!document.querySelector(nameCells)) return;
  let named;
  const readNames = () => Array.from(document.querySelectorAll(nameCells), (cell) => ({
    text: cell.textContent, key: plain(cell.textContent), row: cell.parentElement,
    where: cell.closest("table").caption.textContent,
  }));
  const box = make("search", "", { class: "tools" });
  const label = make("label", "Search ");
  const field = make("input", "", { type: "search", autocomplete: "off", placeholder: "device, port or unit" });
  const told = make("span", "", { role: "status" });
  const found = make("ul", "", { class: "found" });
  label.append(field);
  box.append(label, told, found);
  document.querySelector("nav").before(box);
  field.addEventListener("input", () => {
    named ??= readNames();
    const words = plain(field.value).split(/\s+/).filter(Boolean);
    const hits = words.length ? named.filter((one) => words.every((word) => one.key.includes(word))) : [];
    found.replaceChildren(...hits.slice(0, 12).map((one) => {
      const entry = make("li");
      entry.append(make("a", one.text, { href: "#" + one.row.id }), make("span", " " + one.where));
      return entry;
    }));
    told.textContent = words.length ? ` ${hits.length} found` + (hits.length > 12 ? ", the first 12:" : "") : "";
  });
})();
