"use strict";
/* A table whose column heads hold buttons is sorted by that column, and the other way round when it is pressed again.
   Numbers sort as numbers, empty cells come last either way, and what is alike stays in the order it was written in. */
for (const table of document.querySelectorAll("table.index")) {
  const heads = [...table.tHead.rows].at(-1).cells, written = [...table.tBodies[0].rows];
  const words = new Intl.Collator("en", {numeric: true});
  const key = (row, column) => row.cells[column].dataset.key ?? row.cells[column].textContent.trim();
  const order = (a, b, numeric) => numeric ? Number(a) - Number(b) : words.compare(a, b);
  [...heads].forEach((head, column) => {
    const button = head.querySelector("button"), numeric = written.every(row => !isNaN(key(row, column)));
    button.disabled = false;
    button.addEventListener("click", () => {
      const down = head.getAttribute("aria-sort") === "ascending";
      const rows = [...written].sort((one, other) => {
        const a = key(one, column), b = key(other, column);
        if (a === "" || b === "") return (a === "") - (b === "");
        return order(a, b, numeric) * (down ? -1 : 1);
      });
      table.tBodies[0].append(...rows);
      for (const other of heads) other.removeAttribute("aria-sort");
      head.setAttribute("aria-sort", down ? "descending" : "ascending");
      const told = document.querySelector("[role=status]");
      if (told) told.textContent = `Sorted by ${button.textContent}, ${down ? "descending" : "ascending"}`;
    });
  });
}
