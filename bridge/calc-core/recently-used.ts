/** Answers by what was asked, of which only so many are kept: the one not asked for longest is dropped first. */
export class RecentlyUsed<Answer> {
  private readonly most: number;
  private readonly answers = new Map<string, Answer>();

  constructor(most: number) {
    this.most = most;
  }

  /** The answer that is kept, or the one that is worked out now. */
  get(asked: string, workOut: () => Answer): Answer {
    const answer = this.answers.get(asked) ?? workOut();
    this.answers.delete(asked);
    this.answers.set(asked, answer);
    const [oldest] = this.answers.keys();
    if (this.answers.size > this.most) this.answers.delete(oldest);
    return answer;
  }
}
