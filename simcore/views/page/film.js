// Films: unpacks what film.py has packed, and reads it at any time.
const MISSING = -2147483648; // as in film.py

async function unpack(film, channels) {
  const packed = Uint8Array.from(atob(film.data), (letter) => letter.charCodeAt(0));
  const stream = new Blob([packed]).stream().pipeThrough(new DecompressionStream("deflate-raw"));
  const planes = new Uint8Array(await new Response(stream).arrayBuffer());
  const all = film.frames * channels.length;
  const table = {};
  channels.forEach(([name, quantum], channel) => {
    const values = new Float64Array(film.frames);
    let whole = 0;
    for (let frame = 0; frame < film.frames; frame++) {
      const k = channel * film.frames + frame;
      const zigzag = planes[k] | (planes[all + k] << 8) | (planes[2 * all + k] << 16) | (planes[3 * all + k] << 24);
      whole = (whole + ((zigzag >>> 1) ^ -(zigzag & 1))) | 0;
      values[frame] = whole === MISSING ? NaN : whole * quantum;
    }
    table[name] = values;
  });
  return table;
}

// First place in a rising list whose value is not below the given one; its length if there is none.
function notBelow(list, value) {
  let low = 0, high = list.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (list[middle] < value) low = middle + 1; else high = middle;
  }
  return low;
}

// Reads all channels at a time, straight between frames; beyond the ends the first or last frame.
function reader(table) {
  const times = table.time_s, last = times.length - 1;
  return (time) => {
    const after = Math.min(Math.max(notBelow(times, time), 1), last), before = Math.max(after - 1, 0);
    const wide = times[after] - times[before];
    const share = wide > 0 ? Math.min(Math.max((time - times[before]) / wide, 0), 1) : 0;
    return (name) => {
      const a = table[name][before], b = table[name][after];
      return share === 0 ? a : share === 1 ? b : a + share * (b - a);
    };
  };
}
