// The fault finder: what the eye sees and some readings in, ranked causes and the next reading out.
// The same sums as in calc/telling.py, over the table of faults.js; nothing is fetched or sent.
(function () {
  "use strict";
  var place = document.getElementById("gg-finder");
  if (!place) { return; }
  function ready(then) {
    if (window.guidegenFaults) { then(window.guidegenFaults); return; }
    var script = document.querySelector('script[src$="faults.js"]');
    if (script) { script.addEventListener("load", function () { then(window.guidegenFaults); }); }
  }

  var UNKNOWN = 10, APART = 4, OUT = Math.log(1000);

  function sizes(data, suspect, n) {
    var own = data.suspects[suspect].reads[n];
    if (own === undefined) { own = data.suspects[0].reads[n]; }
    return own === null ? null : own;
  }
  function single(data, suspect, n) {
    var size = sizes(data, suspect, n);
    if (size === null) { return UNKNOWN; }
    size = Math.abs(size);
    var meter = (data.share * size + data.digits[n]) / Math.sqrt(3);
    if (size >= data.over[n]) { return meter; }
    var sound = Math.abs(data.suspects[0].reads[n]);
    return Math.hypot(meter, data.own[n] * (data.suspects[suspect].added ? Math.min(size, sound) : size));
  }
  // Logarithm of the likelihood: Gaussian, with what a batch has in common.
  function score(data, suspect, taken) {
    var numbers = Object.keys(taken), count = numbers.length, i, j, k, sum;
    var spread = [], off = [];
    numbers.forEach(function (n, i) {
      var over = data.over[n], read = Math.max(-over, Math.min(over, taken[n]));
      var size = sizes(data, suspect, n) || 0;
      off[i] = read - size;
      spread[i] = numbers.map(function (m) {
        var other = sizes(data, suspect, m) || 0;
        return data.shared.reduce(function (all, one) { return all + size * one[n] * other * one[m]; }, 0);
      });
      spread[i][i] += Math.pow(single(data, suspect, n), 2);
    });
    var size = 0, far = 0, solved = [];
    for (i = 0; i < count; i += 1) {
      for (j = 0; j <= i; j += 1) {
        sum = spread[i][j];
        for (k = 0; k < j; k += 1) { sum -= spread[i][k] * spread[j][k]; }
        spread[i][j] = i === j ? Math.sqrt(sum) : sum / spread[j][j];
      }
      sum = off[i];
      for (k = 0; k < i; k += 1) { sum -= spread[i][k] * solved[k]; }
      solved[i] = sum / spread[i][i];
      size += 2 * Math.log(spread[i][i]);
      far += solved[i] * solved[i];
    }
    return -0.5 * (far + size);
  }
  function ranked(data, look, row, taken) {
    var found = [];
    data.suspects.forEach(function (one, number) {
      var fits = one.looks.some(function (seen) {
        return seen[0] === look && (!row || seen.length === 1 || seen.indexOf(row) > 0);
      });
      if (fits) { found.push({ number: number, score: score(data, number, taken) }); }
    });
    found.sort(function (a, b) { return b.score - a.score || a.number - b.number; });
    return found.filter(function (one) { return one.score >= found[0].score - OUT; });
  }
  function next(data, left, taken) {
    var best = 0, found = null;
    data.readings.forEach(function (reading) {
      var n = reading.n - 1, worth = 0;
      if (taken[n] !== undefined) { return; }
      var size = left.map(function (one) { return sizes(data, one.number, n) || 0; });
      var wide = left.map(function (one) { return single(data, one.number, n); });
      left.forEach(function (one, i) {
        left.forEach(function (other, j) {
          if (Math.abs(size[i] - size[j]) > APART * Math.hypot(wide[i], wide[j])) {
            worth += Math.exp(one.score + other.score - 2 * left[0].score);
          }
        });
      });
      worth /= data.effort[n];
      if (worth > best * (1 + 1e-9)) { best = worth; found = reading; }
    });
    return found;
  }
  window.guidegenFinder = { ranked: ranked, next: next };

  function tag(name, text, into) {
    var made = document.createElement(name);
    if (text) { made.textContent = text; }
    if (into) { into.appendChild(made); }
    return made;
  }
  function choice(label, options, into) {
    var line = tag("p", "", into), said = tag("label", label + " ", line), list = tag("select", "", said);
    options.forEach(function (one) { tag("option", one[1], list).value = one[0]; });
    return list;
  }

  ready(function (data) {
    var taken = {};
    tag("p", "Say what you see, type what you read, and see which causes are left.", place);
    var look = choice("What you see", Object.keys(data.looks).map(function (kind) {
      return [kind, data.looks[kind]];
    }), place);
    var row = choice("Which row", [["", "all, or not known"]], place);
    var wanted = choice("Reading", data.readings.map(function (one) {
      return [one.n - 1, one.n + ": " + one.red + " to " + one.black];
    }), place);
    var how = tag("p", "", place);
    var line = tag("p", "", place);
    var label = tag("label", "It reads ", line), read = tag("input", "", label);
    read.type = "text";
    read.inputMode = "decimal";
    read.size = 8;
    var unit = tag("span", "", line), add = tag("button", "Add", line);
    add.type = "button";
    var said = tag("p", "", place);
    said.setAttribute("role", "status");
    var list = tag("ul", "", place), causes = tag("ol", "", place);

    function rows() {
      var found = {};
      data.suspects.forEach(function (one) {
        one.looks.forEach(function (seen) {
          if (seen[0] === look.value) { seen.slice(1).forEach(function (ref) { found[ref] = 1; }); }
        });
      });
      row.textContent = "";
      tag("option", "all, or not known", row).value = "";
      Object.keys(found).forEach(function (ref) { tag("option", ref, row).value = ref; });
      row.parentNode.parentNode.hidden = !Object.keys(found).length;
    }
    function asked() {
      var one = data.readings[wanted.value];
      how.textContent = one.name + ". " + one.how + " Sound: " + one.sound + ", " + one.low + " to " + one.high + ".";
      unit.textContent = " " + one.unit + " ";
    }
    function show() {
      var left = ranked(data, look.value, row.value, taken);
      list.textContent = "";
      Object.keys(taken).forEach(function (n) {
        var one = data.readings[n], item = tag("li", "", list);
        var shown = one.unit === "mV" ? taken[n] * 1000 : taken[n];
        tag("span", one.n + ": " + Number(shown.toPrecision(6)) + " " + one.unit + " ", item);
        var away = tag("button", "Remove", item);
        away.type = "button";
        away.addEventListener("click", function () { delete taken[n]; show(); });
      });
      causes.textContent = "";
      left.slice(0, 12).forEach(function (one) {
        var suspect = data.suspects[one.number], item = tag("li", "", causes);
        tag("strong", suspect.cause, item);
        tag("span", " " + suspect.do, item);
      });
      var then = left.length > 1 ? next(data, left, taken) : null;
      said.textContent = left.length + (left.length === 1 ? " cause is" : " causes are") + " left." +
        (then ? " Next: reading " + then.n + ", red on " + then.red + ", black on " + then.black + "." :
          left.length > 1 ? " No further reading tells them apart." : "");
      if (then) { wanted.value = then.n - 1; asked(); }
    }
    add.addEventListener("click", function () {
      var one = data.readings[wanted.value];
      var text = read.value.trim().replace(",", ".").replace("\u2212", "-");
      var number = /^ol$/i.test(text) ? data.over[wanted.value] * 1000 : Number(text);
      if (text === "" || !isFinite(number)) {
        said.textContent = "A number is wanted, in " + one.unit + "; OL for over the range.";
        return;
      }
      taken[wanted.value] = one.unit === "mV" ? number / 1000 : number;
      read.value = "";
      show();
    });
    read.addEventListener("keydown", function (event) { if (event.key === "Enter") { add.click(); } });
    look.addEventListener("change", function () { rows(); show(); });
    row.addEventListener("change", show);
    wanted.addEventListener("change", asked);
    rows();
    asked();
    show();
    place.hidden = false;
  });
}());
