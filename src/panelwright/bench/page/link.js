// The line to the bench: one WebSocket, mended by itself. What comes after a break is a whole new picture.

const FIRST_WAIT_MS = 200;
const LONGEST_WAIT_MS = 3000;

export class Link {
  // `onAnswer(answer)` for each answer, `onChange(up)` when the line comes or goes.
  constructor(address, onAnswer, onChange) {
    this.address = address;
    this.onAnswer = onAnswer;
    this.onChange = onChange;
    this.count = 0;
    this.wait = FIRST_WAIT_MS;
    this.open();
  }

  get up() {
    return this.socket.readyState === WebSocket.OPEN;
  }

  open() {
    this.socket = new WebSocket(this.address);
    this.socket.addEventListener("open", () => this.onChange(true));
    this.socket.addEventListener("message", (event) => {
      this.wait = FIRST_WAIT_MS; // it not only answered the door, it speaks
      this.onAnswer(JSON.parse(event.data));
    });
    this.socket.addEventListener("close", () => {
      this.onChange(false);
      this.timer = setTimeout(() => this.open(), this.wait);
      this.wait = Math.min(this.wait * 2, LONGEST_WAIT_MS);
    });
  }

  // Returns the number of the request (answers echo it), or 0 when the line is down and nothing was sent.
  ask(request) {
    if (!this.up) return 0;
    this.count += 1;
    this.socket.send(JSON.stringify({ ...request, count: this.count }));
    return this.count;
  }
}
