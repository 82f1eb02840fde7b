"use strict";
/* Tables whose heads hold a button are sorted by that column, and the other way round when it is pressed again. */
document.querySelectorAll("th button[data-column]").forEach(button => {
  button.addEventListener("click", () => {
    const head = button.closest("th"), body = button.closest("table").tBodies[0];
    const column = Number(button.dataset.column), down = head.getAttribute("aria-sort") === "ascending";
    const key = row => row.cells[column].dataset.key || row.cells[column].textContent;
    const rows = [...body.rows].sort((a, b) => {
      const [one, other] = [key(a), key(b)], numbers = one !== "" && other !== "" && !isNaN(one) && !isNaN(other);
      const order = numbers ? Number(one) - Number(other) : one.localeCompare(other, undefined, {numeric: true});
      return down ? -order : order;
    });
    head.closest("tr").querySelectorAll("th").forEach(other => other.removeAttribute("aria-sort"));
    head.setAttribute("aria-sort", down ? "descending" : "ascending");
    rows.forEach(row => body.append(row));
  });
});
