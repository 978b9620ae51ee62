// Who is at this page, how it joins, and what its buttons do.

// A Me is the member at this page. It is kept for this rehearsal alone, so that whoever
// loads the page anew, goes back to it or opens it tomorrow morning is the same member.
class Me {
  constructor() {
    this.rehearsal = document.documentElement.dataset.rehearsal;
    const kept = this.kept(), [code, at] = location.hash.slice(1).split(".");
    const same = !code || code === kept.code;
    this.id = kept.id || token();
    this.secret = kept.secret || token();
    this.code = code || kept.code || "";
    this.at = Number(at) || (same && kept.at) || 0; // the position's number, counted from 1
    this.given = kept.given || false; // the name was given, not made up from the place
    this.name = (kept.given || (same && kept.at === this.at) ? kept.name : "") || "";
    this.calls = kept.calls || 0;
  }

  kept() {
    try {
      const k = JSON.parse(localStorage.getItem("drylane") || "{}");
      return k.rehearsal === this.rehearsal ? k : {};
    } catch (e) {
      return {};
    }
  }

  keep() {
    try {
      localStorage.setItem("drylane", JSON.stringify(this));
    } catch (e) {
      // then this page is another member once it is loaded anew
    }
  }

  // named notes a name that the person gave.
  named(name) {
    this.name = name;
    this.given = Boolean(name);
  }

  // forget forgets all of it, once the rehearsal is over.
  forget() {
    try {
      localStorage.removeItem("drylane");
    } catch (e) {
      // nothing was kept
    }
  }

  // nextCall is the number of a HOLD: larger than that of any before, also of another
  // page of the same member.
  nextCall() {
    this.calls = Math.max(this.calls, this.kept().calls || 0) + 1;
    this.keep();
    return this.calls;
  }
}

// token is a number that nobody guesses, of 130 bits, as the lead takes it.
function token() {
  const letters = "0123456789ABCDEFGHJKMNPQRSTVWXYZ", bytes = crypto.getRandomValues(new Uint8Array(26));
  return Array.from(bytes, (b) => letters[b % 32]).join("");
}

const me = new Me(), link = new Link(me, news), screen = new Screen(link);
let made = 0; // how many names were made up
let again; // says who is here once more where nothing came of it

// place is the position that this page is for.
const places = () => (link.view.you && link.view.you.positions) || [];
const place = () => places()[me.at - 1] || (places().length === 1 ? places()[0] : "");

// greet says who is here, as soon as all of it is known. A name that nobody gave is that
// of the place: gloves are bad at letters.
function greet() {
  const you = link.view.you;
  if (!you || (you.kind === "position" && !place())) return ask("");
  const base = you.kind === "position" ? place() : you.kind[0].toUpperCase() + you.kind.slice(1);
  const name = me.name || [...base].slice(0, 21).join("") + (made ? " " + (made + 1) : "");
  link.say("hello", { drylane_crew: 1, name, role: you.kind === "position" ? "position:" + place() : you.kind }).catch(() => {});
  clearTimeout(again);
  again = setTimeout(() => link.started && !link.view.welcome && greet(), 1000);
}

// ask shows what is to be asked before somebody can join.
function ask(why) {
  const you = link.view.you, known = Boolean(you);
  put("why", why || (me.code ? "" : "The lead's machine shows the code, and a square with it to photograph."));
  show("enter", true);
  show("code", !known);
  show("codelabel", !known);
  put("title", (known && you.title) || "");
  show("choose", places().length > 0);
  show("go", !known || !places().length || Boolean(place()));
  rows($("places"), places().map((p, i) => [p, i + 1]), (p) => p[1], (p, b) => {
    if (b.firstChild) return;
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = p[0];
    button.dataset.place = p[1];
    b.append(button);
  });
  show("top", false);
  show("rest", false);
}

function news(what, why) {
  const v = link.view;
  switch (what) {
    case "you":
      greet();
      break;
    case "welcome":
      clearTimeout(again);
      if (v.welcome.refused) {
        const refused = v.welcome.refused;
        v.welcome = null;
        if (!me.given && /is in the crew already/.test(refused) && ++made < 20) {
          me.name = "";
          greet();
        } else {
          ask(refused);
        }
        return;
      }
      me.name = v.welcome.name;
      me.keep();
      $("name").value = v.welcome.name;
      if (document.activeElement !== $("rename")) $("rename").value = v.welcome.name; // who types one goes on
      show("enter", false);
      show("top", true);
      show("rest", true);
      document.title = v.welcome.name + ", " + roleWords(v.welcome.role) + ": drylane";
      awake();
      break;
    case "refused":
      if (v.you) me.code = "";
      v.you = null;
      ask(why);
      return;
    case "moved":
      ask("This member's page is open somewhere else. Join takes part here instead.");
      return;
    case "answer":
      if (v.answer.refused) screen.refused(v.answer.deed);
      else screen.took(v.answer.deed);
      if (v.answer.deed === "leave" && !v.answer.refused) left();
      if (v.answer.deed === "rename" && !v.answer.refused && renamed) {
        v.welcome.name = $("name").value = renamed;
        me.named(renamed);
        me.keep();
      }
      break;
    case "lost":
      shake(300, 100, 300);
      break;
    case "state":
      if (v.over) me.forget();
      if (v.state.hold && v.state.hold !== link.shows) shake(300, 100, 300);
  }
  if (v.welcome) screen.draw();
}

let renamed = "";

function left() {
  link.stop();
  link.view.state = link.view.welcome = null;
  show("hold", false);
  ask("You have left the crew; the run goes on.");
}

// awake keeps the screen on where the browser can.
let lock = null;
async function awake() {
  const can = "wakeLock" in navigator;
  try {
    if (can && (!lock || lock.released)) lock = await navigator.wakeLock.request("screen");
  } catch (e) {
    lock = null;
  }
  put("awake", lock && !lock.released ? "The screen stays on." : "This browser may let the screen go dark: set the telephone so that it stays on.");
}

// shake is felt through a pocket, where the browser can do it and the page was touched.
function shake(...pattern) {
  if (navigator.vibrate && (!navigator.userActivation || navigator.userActivation.hasBeenActive)) navigator.vibrate(pattern);
}

// press calls fn at once when a button is touched, and when a key or a screen reader
// presses it: a HOLD does not wait for the finger to be lifted.
function press(id, fn) {
  let touched = -Infinity;
  $(id).addEventListener("pointerdown", (e) => {
    if (e.button !== 0) return;
    touched = performance.now();
    fn();
  });
  $(id).addEventListener("click", () => performance.now() - touched > 1000 && fn());
}

press("hold", () => {
  link.hold();
  shake(80);
  screen.draw();
});
press("tap", () => link.do("tap"));
$("acknowledge").addEventListener("click", () => screen.acknowledge());
$("ready").addEventListener("click", () => link.do(screen.ready() ? "unready" : "ready"));
$("standdown").addEventListener("click", () => link.do(screen.asks() ? "withdraw" : "standdown"));
$("refuse").addEventListener("click", () => (screen.objects() ? link.do("allow") : show("reasons", $("reasons").hidden)));
for (const why of ["somebody is in the fallout area", "not clear above", "what led to the hold is not over", "ask me by radio"]) {
  const b = document.createElement("button");
  b.type = "button";
  b.textContent = why;
  b.addEventListener("click", () => {
    link.do("object", { text: why });
    show("reasons", false);
  });
  $("reasons").append(b);
}
$("past").addEventListener("click", (e) => {
  const b = e.target.closest("button");
  if (!b) return;
  screen.tell(b.dataset.cue, b.dataset.deed);
  link.do(b.dataset.deed, { cue: b.dataset.cue });
  screen.draw();
});
$("renaming").addEventListener("click", () => {
  renamed = $("rename").value.trim();
  if (renamed) link.do("rename", { text: renamed });
});
$("leave").addEventListener("click", () => link.do("leave"));
$("places").addEventListener("click", (e) => {
  if (!e.target.dataset.place) return;
  me.at = Number(e.target.dataset.place);
  me.named($("name").value.trim());
  greet();
});
$("enter").addEventListener("submit", (e) => {
  e.preventDefault();
  me.named($("name").value.trim());
  if (link.view.you && link.started) return greet();
  me.code = $("code").value.trim() || me.code;
  link.view.moved = false;
  if (me.code) begin();
});
addEventListener("pointerdown", () => (screen.touched = own()));

function begin() {
  put("why", "");
  link.start();
}

// A page that nobody sees shows nobody a hold. It is lost until it is seen again, and
// then comes back by itself.
function seen() {
  if (!link.view.welcome && !link.view.you) return;
  if (document.hidden) return link.away();
  if (!link.started && !link.view.over && !link.view.moved) link.start();
  awake();
}
document.addEventListener("visibilitychange", seen);
addEventListener("pageshow", (e) => e.persisted && seen());
addEventListener("pagehide", () => link.away());
addEventListener("hashchange", () => location.reload());

setInterval(() => !document.hidden && link.view.welcome && screen.draw(), 100);
if (me.code) {
  begin();
} else {
  ask("");
}
