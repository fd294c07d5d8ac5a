import type {
  ConstantNode,
  FunctionNode,
  MathNode,
  OperatorNode,
  ParenthesisNode,
  SymbolNode,
} from 'mathjs/number';
import { symbolParts } from './symbol.ts';

/** A parsed formula as MathML Core (W3C), which browsers show as print without a library. */

const row = (...parts: string[]): string => `<mrow>${parts.join('')}</mrow>`;
const operator = (sign: string): string => `<mo>${sign}</mo>`;

function symbolMarkup(name: string): string {
  const { letter, subscripts } = symbolParts(name);
  const base = `<mi>${letter}</mi>`;
  return subscripts === '' ? base : `<msub>${base}<mtext>${subscripts}</mtext></msub>`;
}

const bare = (node: MathNode): MathNode =>
  node.type === 'ParenthesisNode' ? bare((node as ParenthesisNode).content) : node;

const SIGNS: Readonly<Record<string, string>> = { '+': '+', '-': '−', '*': '·' };

function operatorMarkup(node: OperatorNode): string {
  const [first, second] = node.args;
  // a fraction bar and a superscript bracket what stands there
  if (node.op === '/') return `<mfrac>${markup(bare(first))}${markup(bare(second))}</mfrac>`;
  if (node.op === '^') return `<msup>${row(markup(first))}${markup(bare(second))}</msup>`;
  if (second === undefined) return row(operator(SIGNS[node.op] ?? node.op), markup(first));
  return row(markup(first), operator(SIGNS[node.op] ?? node.op), markup(second));
}

function markup(node: MathNode): string {
  switch (node.type) {
    case 'OperatorNode':
      return operatorMarkup(node as OperatorNode);
    case 'ParenthesisNode':
      return row(operator('('), markup((node as ParenthesisNode).content), operator(')'));
    case 'SymbolNode':
      return symbolMarkup((node as SymbolNode).name);
    case 'FunctionNode': {
      const call = node as FunctionNode;
      const args = call.args.map(markup).join(operator(','));
      return row(`<mi>${call.fn.name}</mi>`, operator('('), args, operator(')'));
    }
    default:
      return `<mn>${(node as ConstantNode).toString()}</mn>`;
  }
}

export const mathMl = (node: MathNode): string => `<math display="block">${markup(node)}</math>`;
