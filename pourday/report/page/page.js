"use strict";
// Sorts the tables and moves the day under its slider. Everything shown is in the page already:
// nothing is computed here but which frame it is, and nothing is fetched.
(() => {
  const byId = (name) => document.getElementById(name);

  // --- tables -----------------------------------------------------------------------------

  // Numbers by size, words by letter, what is missing last, whichever way it is sorted.
  function order(first, second, way) {
    if (first === "" || second === "") {
      return (first === "") - (second === "");
    }
    const numbers = [Number(first), Number(second)];
    const plain = numbers.some(Number.isNaN)
      ? first.localeCompare(second, "en", { numeric: true })
      : numbers[0] - numbers[1];
    return way * plain;
  }

  function sortTable(head) {
    const row = head.parentNode;
    const column = [...row.children].indexOf(head);
    const down = head.getAttribute("aria-sort") === "ascending";
    const body = head.closest("table").tBodies[0];
    const keyOf = (line) => line.children[column].dataset.v;
    const sorted = [...body.rows].sort((a, b) => order(keyOf(a), keyOf(b), down ? -1 : 1));
    body.append(...sorted);
    for (const other of row.querySelectorAll("th[aria-sort]")) {
      other.setAttribute("aria-sort", "none");
    }
    head.setAttribute("aria-sort", down ? "descending" : "ascending");
  }

  for (const button of document.querySelectorAll("th > button")) {
    button.addEventListener("click", () => sortTable(button.parentNode));
  }

  // --- the day ----------------------------------------------------------------------------

  const LANE = 100, TRUCK = 32, ROW = 19, TRUCKS_A_ROW = 3, TRUCK_WIDE = 29;

  function place(element, attributes) {
    for (const [name, value] of Object.entries(attributes)) {
      element.setAttribute(name, value);
    }
  }

  // Where concrete lies: each frame tells only what grew, so all before it count.
  function drawStrips(block, frames, number) {
    const boxes = new Map();
    for (const frame of frames.slice(0, number + 1)) {
      for (const [strip, ...box] of frame.s) {
        boxes.set(strip, box);
      }
    }
    for (const element of byId(block + "-floor").querySelectorAll(".in")) {
      const strip = Number(element.id.slice(block.length + 2));
      const [x, y, width, height] = boxes.get(strip) || [0, 0, 0, 0];
      place(element, { x, y, width, height });
    }
  }

  function drawFronts(block, frame) {
    frame.f.forEach((at, n) => {
      const element = byId(`${block}-f${n}`);
      element.classList.toggle("off", at === null);
      if (at !== null) {
        place(element, { transform: `translate(${at[0]} ${at[1]})` });
      }
    });
  }

  function drawEdges(block, frame) {
    for (const element of byId(block + "-floor").querySelectorAll(".edge")) {
      const edge = frame.e[Number(element.id.slice(block.length + 2))];
      place(element, { class: edge ? `edge ${edge[4]}` : "edge off" });
      if (edge) {
        place(element, { x1: edge[0], y1: edge[1], x2: edge[2], y2: edge[3] });
      }
    }
  }

  function drawTrucks(block, frame) {
    const where = new Map(frame.q.map(([number, lane, left]) => [number, { lane, left }]));
    const inLane = [0, 0, 0, 0];
    for (const element of byId(block + "-trucks").querySelectorAll("g")) {
      const truck = where.get(Number(element.id.slice(block.length + 2)));
      element.classList.toggle("off", !truck);
      if (truck) {
        const n = inLane[truck.lane]++;
        const x = truck.lane * LANE + 4 + (n % TRUCKS_A_ROW) * TRUCK;
        const y = 21 + Math.floor(n / TRUCKS_A_ROW) * ROW;
        place(element, { transform: `translate(${x} ${y})` });
        place(element.querySelector(".load"), { width: TRUCK_WIDE * truck.left });
      }
    }
  }

  function drawWords(block, frame) {
    frame.w.forEach((words, n) => {
      byId(`${block}-w${n}`).textContent = words;
      byId(`${block}-r${n}`).hidden = words === "";
    });
    byId(block + "-clock").textContent = frame.t;
  }

  function show(block, frames, number) {
    const frame = frames[number];
    const slider = byId(block + "-time");
    const now = byId(block + "-now");
    slider.value = String(number);
    slider.setAttribute("aria-valuetext", `${frame.t}: ${frame.w[0]}`);
    drawStrips(block, frames, number);
    drawFronts(block, frame);
    drawEdges(block, frame);
    drawTrucks(block, frame);
    drawWords(block, frame);
    if (now) {
      place(now, { x1: frame.x, x2: frame.x });
    }
  }

  function begin(day) {
    const { block, frames } = JSON.parse(day.querySelector("script.frames").textContent);
    const slider = byId(block + "-time");
    const to = (number) => {
      show(block, frames, Math.max(0, Math.min(frames.length - 1, number)));
    };
    slider.addEventListener("input", () => to(Number(slider.value)));
    byId(block + "-less").addEventListener("click", () => to(Number(slider.value) - 1));
    byId(block + "-more").addEventListener("click", () => to(Number(slider.value) + 1));
    to(Number(slider.getAttribute("value")));
  }

  const days = [...document.querySelectorAll("div.day")];
  days.forEach(begin);

  // --- whose day is shown -----------------------------------------------------------------

  const pick = byId("drawn");
  if (pick) {
    const choose = () => days.forEach((day) => { day.hidden = day.id !== pick.value; });
    pick.addEventListener("change", choose);
    choose();
  }
})();
