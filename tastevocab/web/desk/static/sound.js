// The recording: plays from any word, follows along, in any speed from 0.75 to 2.

const LETTERS_A_SECOND = 14; // how fast people talk: a word's second within its caption is reckoned by it

export class Sound {
  // `at(text, place)` hears where the recording is.
  constructor(audio, { at }) {
    Object.assign(this, { audio, at });
    audio?.addEventListener("timeupdate", () => this.tell());
    document.getElementById("speed")?.addEventListener("change", (e) => { audio.playbackRate = +e.target.value; });
  }

  texts(texts) { this.known = texts.map((t) => t.times); }

  second(text, place) {
    const times = this.known?.[text] ?? [];
    let n = times.findLastIndex(([p]) => p <= place);
    if (n < 0) n = 0;
    if (!times.length) return null;
    const [start, second] = times[n], next = times[n + 1];
    const by = Math.max(place - start, 0) / LETTERS_A_SECOND;
    return next ? Math.min(second + by, second + ((place - start) / Math.max(next[0] - start, 1)) * (next[1] - second)) : second + by;
  }

  place(text, second) {
    const times = this.known?.[text] ?? [];
    const n = times.findLastIndex(([, s]) => s <= second);
    if (n < 0) return null;
    const [start, from] = times[n], next = times[n + 1];
    const most = next ? next[0] - 1 : Infinity;
    const even = next ? ((second - from) / Math.max(next[1] - from, 0.001)) * (next[0] - start) : 0;
    return Math.min(Math.floor(start + Math.max((second - from) * LETTERS_A_SECOND, even)), most);
  }

  play(text, place) {
    const second = this.second(text, place);
    if (!this.audio || second === null) return false;
    this.text = text;
    this.audio.currentTime = second;
    this.audio.playbackRate = +document.getElementById("speed").value;
    this.audio.play().catch(() => {});
    return true;
  }

  pause() {
    if (!this.audio) return;
    if (this.audio.paused) this.audio.play().catch(() => {});
    else this.audio.pause();
  }

  tell() {
    const text = this.text ?? this.known?.findIndex((t) => t.length) ?? -1;
    if (text >= 0) this.at(text, this.place(text, this.audio.currentTime));
  }
}
