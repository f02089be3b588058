// One pile as a tile: one more, one less, or the exact number.
//
// Presses are counted here and sent as a running total, never one by one: a message that overtakes or replaces an
// earlier one takes no press with it. `seen` of the data is the total that the page has put on disk; what it has not
// seen yet is added to the count that it sent, so the number shown is always what the disk says and the presses
// under way, whoever else counts. A page that was started anew does not know this tile: it is told once more what
// the old one (`page`) had seen, and which count (`base`) it had answered.
//
// When another person is chosen the tiles of the last one stand there until the page has drawn the next: they take no
// press from the moment of the choice, or it would go to the wrong person, or to a tile that is about to go. Whose
// turn it is says the last click or key, not the mark, which jumps back and follows later on a busy machine; and the page,
// where it has chosen by itself: then the data have a `turn` that was not known before.
const PERSONS = ".st-key-count_owner", AGAIN = 3000; // [ms]
const choice = document.capacityChoice ??= { person: null, clicked: null, turns: new Set(), tiles: new Set() };
const choose = (person) => {
  choice.person = person;
  choice.tiles.forEach((tile) => tile.parent.isConnected ? tile.draw() : choice.tiles.delete(tile));
};
if (!choice.listen) {
  choice.listen = (event) => {
    const input = event.target.closest?.(PERSONS + " label")?.querySelector("input");
    if (input) choose(choice.clicked = Number(input.value));
  };
  for (const kind of ["click", "keyup"]) document.addEventListener(kind, choice.listen, true);
}

export default function ({ data, parentElement, setStateValue }) {
  const part = (name) => parentElement.querySelector("." + name);
  const more = part("more"), less = part("less"), exact = part("exact");
  let tile = parentElement.tile;
  if (!tile) {
    const random = crypto.getRandomValues(new Uint32Array(2));
    tile = parentElement.tile = {
      token: random.join("-"), presses: 0, seen: 0, base: 0, page: "", // what was pressed
      typed: null, serial: 0, focused: 0, entered: "", // what was typed, and over which count
      sent: 0, parent: parentElement,
    };
  }
  choice.tiles.add(tile);
  tile.data = data;
  const isKnown = data.token === tile.token;
  if (isKnown) tile.seen = data.seen;
  if (isKnown && data.serial === tile.serial) tile.typed = null;
  if (isKnown && tile.presses === tile.seen && !tile.typed) clearTimeout(tile.again);
  if (isKnown || tile.presses === tile.seen) {
    tile.base = data.count;
    tile.page = data.page;
  }

  const shown = () => Math.max(0, Math.min(tile.data.most, tile.data.count + tile.presses - tile.seen));
  const isLeft = () => tile.data.person !== choice.person;
  const draw = tile.draw = () => {
    const count = shown();
    const left = isLeft();
    part("name").textContent = tile.data.name;
    part("about").textContent = tile.data.note;
    part("tile").classList.toggle("ready", count === 0);
    part("count").textContent = count;
    less.disabled = left || count === 0;
    more.disabled = left || count === tile.data.most;
    exact.disabled = left;
    less.setAttribute("aria-label", "One less of " + tile.data.name);
    exact.setAttribute("aria-label", "Number of " + tile.data.name);
    if (parentElement.activeElement !== exact) exact.value = count;
  };
  const send = () => {
    tile.sent += 1; // no two messages are alike, or the second would be taken for the first
    const { token, presses, seen, base, page, typed, sent } = tile;
    setStateValue("said", { token, presses, seen, base, page, typed, sent });
    // what is said in the first moments after a connection is back may be lost: said again until it is answered
    clearTimeout(tile.again);
    tile.again = setTimeout(() => parentElement.isConnected && tile.send(), AGAIN);
  };
  tile.send = send;
  const press = (step) => {
    if (isLeft() || shown() + step < 0 || shown() + step > tile.data.most) return;
    tile.presses += step;
    draw();
    send();
  };
  const type = () => {
    const text = exact.value.trim();
    if (text === tile.entered) return;
    tile.entered = text;
    tile.serial += 1;
    tile.typed = { serial: tile.serial, text, shown: tile.focused };
    if (/^[0-9]+$/.test(text) && Number(text) <= tile.data.most) tile.focused = Number(text);
    send();
  };
  more.onclick = () => press(1);
  less.onclick = () => press(-1);
  exact.onfocus = () => {
    tile.focused = shown();
    tile.entered = String(tile.focused);
    exact.select();
  };
  exact.onkeydown = (event) => {
    if (event.key === "Enter") type();
  };
  exact.onblur = () => {
    type();
    draw();
  };
  const isNew = !choice.turns.has(data.turn), isAnswer = choice.clicked === data.person;
  choice.turns.add(data.turn);
  if (isAnswer) choice.clicked = null;
  if (isNew || isAnswer) choose(data.person);
  else draw();
  if (!isKnown && (tile.presses !== 0 || tile.typed) && tile.told !== data.token) {
    tile.told = data.token;
    send();
  }
  if (isKnown) tile.told = null;
}
