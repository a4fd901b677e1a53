//! Reading a formula, by operator precedence.

use std::ops::Range;

use super::arguments::{Passed, arrange};
use super::function::{Function, WordList};
use super::functions::{FUNCTIONS, named};
use super::operator::Operator;
use super::problem::{CallProblem, TextProblem, Wanted};
use super::safety::SAFETY_RULES;
use super::token::{AT_LEAST, AT_MOST, Token, TokenKind, tokens};
use super::tree::{Comparison, Condition, Node, NodeKind};
use super::word::tried;
use super::{Formula, FormulaError};
use crate::diagnostic::nearest;
use crate::quantity::Quantity;

/// The longest formula in bytes; a longer one is a slip or an attack, not something to read.
const LONGEST: usize = 1000;
/// How deep parentheses and signs may nest, so that no text can exhaust the stack.
const DEEPEST: usize = 64;
/// Powers beyond this are slips: nothing at a bench goes with a tenth power.
const HIGHEST_POWER: i8 = 9;

/// How tightly a sign binds what stands beside it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Binding {
    Loose,
    Sum,
    Product,
    Negation,
    Power,
}

impl Formula {
    /// Reads a formula.
    ///
    /// Errors say what does not belong and where; whether the names exist and the units fit is
    /// [`Formula::dimension`]'s to tell.
    pub fn parse(text: &str) -> Result<Formula, FormulaError> {
        if text.len() > LONGEST {
            let problem = TextProblem::TooLong { most: LONGEST, bytes: text.len() };
            return Err(FormulaError::new(&(0..text.len()), problem));
        }
        let mut parser =
            Parser { text, tokens: tokens(text)?, next: 0, depth: 0, names: Vec::new() };
        let root = parser.expression(Binding::Loose)?;
        parser.end()?;
        Ok(Formula { text: text.to_owned(), root, names: parser.names })
    }
}

struct Parser<'t> {
    text: &'t str,
    tokens: Vec<Token>,
    next: usize,
    depth: usize,
    names: Vec<Range<usize>>,
}

impl<'t> Parser<'t> {
    /// Reads as far as the signs bind more tightly than `outside`.
    fn expression(&mut self, outside: Binding) -> Result<Node, FormulaError> {
        self.depth += 1;
        if self.depth > DEEPEST {
            return Err(FormulaError::new(&self.peek().at, TextProblem::TooDeep));
        }
        let mut left = self.operand(outside)?;
        while let TokenKind::Sign(sign) = self.peek().kind
            && let Some(binding) = binding_of(sign)
            && binding > outside
        {
            let sign_at = self.take().at;
            left = match operator_of(sign) {
                Some(operator) => {
                    let right = self.expression(binding)?;
                    operation(operator, sign_at, left, right)
                }
                None => self.power(left)?,
            };
        }
        self.depth -= 1;
        Ok(left)
    }

    fn operand(&mut self, outside: Binding) -> Result<Node, FormulaError> {
        let token = self.take();
        match token.kind {
            TokenKind::Number => self.literal(token.at),
            TokenKind::Name if self.at_sign('(') => self.call(token.at),
            TokenKind::Name => {
                if self.text_at(&token.at) == SAFETY_RULES {
                    let problem = TextProblem::RuleSet { name: SAFETY_RULES.to_owned() };
                    return Err(FormulaError::new(&token.at, problem));
                }
                Ok(self.name(token.at))
            }
            TokenKind::Word if self.text_at(&token.at) == "if" => self.choice(token.at, outside),
            TokenKind::Sign('-') => {
                let operand = self.expression(Binding::Negation)?;
                Ok(negation(token.at.start, operand))
            }
            TokenKind::Sign('(') => {
                let mut inner = self.expression(Binding::Loose)?;
                let close = self.expect(')', &token.at)?;
                inner.at = token.at.start..close.end;
                Ok(inner)
            }
            _ => Err(self.unexpected(&token, Wanted::Operand)),
        }
    }

    /// Reads the rest of `if CONDITION then VALUE else VALUE`.
    fn choice(&mut self, at: Range<usize>, outside: Binding) -> Result<Node, FormulaError> {
        if outside != Binding::Loose {
            return Err(FormulaError::new(&at, TextProblem::BareIf));
        }
        let condition = Box::new(self.condition()?);
        self.word("then", &at)?;
        let then = Box::new(self.expression(Binding::Loose)?);
        self.word("else", &at)?;
        let otherwise = Box::new(self.expression(Binding::Loose)?);
        let at = at.start..otherwise.at.end;
        Ok(Node { at, kind: NodeKind::Choice { condition, then, otherwise } })
    }

    fn condition(&mut self) -> Result<Condition, FormulaError> {
        let left = self.expression(Binding::Loose)?;
        let token = self.take();
        let comparison = match token.kind {
            TokenKind::Sign(sign) => comparison_of(sign),
            _ => None,
        };
        let comparison = comparison.ok_or_else(|| self.unexpected(&token, Wanted::Comparison))?;
        let right = self.expression(Binding::Loose)?;
        Ok(Condition { comparison, sign: token.at, left, right })
    }

    /// Takes the word that goes on with an `if`.
    fn word(&mut self, word: &str, start: &Range<usize>) -> Result<(), FormulaError> {
        let token = self.take();
        match token.kind {
            TokenKind::Word if self.text_at(&token.at) == word => Ok(()),
            TokenKind::End => {
                Err(FormulaError::new(start, TextProblem::IfLacks { word: word.to_owned() }))
            }
            _ => Err(self.unexpected(&token, Wanted::OperatorOr(word.to_owned()))),
        }
    }

    fn literal(&self, at: Range<usize>) -> Result<Node, FormulaError> {
        let text = self.text_at(&at);
        match Quantity::parse(text) {
            Ok(quantity) => Ok(Node { at, kind: NodeKind::Literal(quantity) }),
            Err(error) => Err(FormulaError::new(&at, TextProblem::Value(error))),
        }
    }

    /// Reads the whole number after `^`.
    fn power(&mut self, base: Node) -> Result<Node, FormulaError> {
        let sign = self.at_sign('-').then(|| self.take());
        let token = self.take();
        let digits = self.text_at(&token.at);
        let start = sign.as_ref().map_or(token.at.start, |sign| sign.at.start);
        let exponent =
            digits.parse::<i8>().ok().filter(|power| (0..=HIGHEST_POWER).contains(power));
        let Some(exponent) = exponent.filter(|_| token.kind == TokenKind::Number) else {
            let problem = TextProblem::Power { most: HIGHEST_POWER };
            return Err(FormulaError::new(&(start..token.at.end), problem));
        };
        if self.at_sign('^') {
            return Err(FormulaError::new(&self.peek().at, TextProblem::PowerOfPower));
        }
        let exponent = if sign.is_some() { -exponent } else { exponent };
        let at = base.at.start..token.at.end;
        Ok(Node { at, kind: NodeKind::Power { base: Box::new(base), exponent } })
    }

    fn call(&mut self, name_at: Range<usize>) -> Result<Node, FormulaError> {
        let name = self.text_at(&name_at);
        let Some(function) = named(name) else {
            let meant = nearest(name, FUNCTIONS.iter().map(|known| known.name)).map(str::to_owned);
            let problem = CallProblem::NoFunction { name: name.to_owned(), meant };
            return Err(FormulaError::new(&name_at, problem));
        };
        let open = self.take().at;
        let mut given = Vec::new();
        while !self.at_sign(')') {
            if !given.is_empty() {
                self.expect(',', &open)?;
            }
            given.push(self.given(function, given.len())?);
        }
        let at = name_at.start..self.take().at.end;
        let arguments = arrange(function, &at, given)?;
        tried(function, &arguments, &at)?;
        Ok(Node { at, kind: NodeKind::Call { function, arguments } })
    }

    /// Reads one value of a call, `load = 0.1 A` or only `0.1 A`.
    fn given(&mut self, function: &Function, position: usize) -> Result<Passed<'t>, FormulaError> {
        let named = self.peek().kind == TokenKind::Name
            && self
                .tokens
                .get(self.next + 1)
                .is_some_and(|token| token.kind == TokenKind::Sign('='));
        let name = named.then(|| {
            let at = self.take().at;
            self.take();
            (self.text_at(&at), at)
        });
        let argument = name.as_ref().map(|(name, _)| *name);
        let value = match function.words(argument, position) {
            Some(words) => self.listed(words)?,
            None => self.expression(Binding::Loose)?,
        };
        Ok(Passed { name, value })
    }

    /// A name, whose value comes from outside.
    fn name(&mut self, at: Range<usize>) -> Node {
        let name = self.text_at(&at).to_owned();
        self.names.push(at.clone());
        Node { at, kind: NodeKind::Name(name) }
    }

    /// Reads a word that stands in the place of a value.
    fn listed(&mut self, words: &WordList) -> Result<Node, FormulaError> {
        let token = self.take();
        match token.kind {
            TokenKind::Name if words.is_fact(self.text_at(&token.at)) => Ok(self.name(token.at)),
            TokenKind::Name => words.read(self.text_at(&token.at), token.at),
            _ => Err(words.missing(&token.at)),
        }
    }

    /// Takes a sign that closes or goes on with what `open` began.
    fn expect(&mut self, sign: char, open: &Range<usize>) -> Result<Range<usize>, FormulaError> {
        let token = self.take();
        match token.kind {
            TokenKind::Sign(found) if found == sign => Ok(token.at),
            TokenKind::End => Err(FormulaError::new(open, TextProblem::NeverClosed)),
            _ => Err(self.unexpected(&token, Wanted::OperatorOr(")".to_owned()))),
        }
    }

    fn end(&mut self) -> Result<(), FormulaError> {
        let token = self.take();
        if token.kind == TokenKind::End {
            return Ok(());
        }
        Err(self.unexpected(&token, Wanted::OperatorOrEnd))
    }

    fn unexpected(&self, token: &Token, wanted: Wanted) -> FormulaError {
        let problem = match token.kind {
            TokenKind::End if self.tokens.len() == 1 => TextProblem::Empty,
            TokenKind::End => TextProblem::Missing { wanted },
            TokenKind::Number | TokenKind::Name | TokenKind::Word | TokenKind::Sign(_) => {
                TextProblem::Misplaced { found: self.text_at(&token.at).to_owned(), wanted }
            }
        };
        FormulaError::new(&token.at, problem)
    }

    fn at_sign(&self, sign: char) -> bool {
        self.peek().kind == TokenKind::Sign(sign)
    }

    fn peek(&self) -> Token {
        let end = self.text.len()..self.text.len();
        self.tokens.get(self.next).cloned().unwrap_or(Token { at: end, kind: TokenKind::End })
    }

    fn take(&mut self) -> Token {
        let token = self.peek();
        self.next += 1;
        token
    }

    fn text_at(&self, at: &Range<usize>) -> &'t str {
        self.text.get(at.clone()).unwrap_or_default()
    }
}

fn binding_of(sign: char) -> Option<Binding> {
    match sign {
        '+' | '-' => Some(Binding::Sum),
        '*' | '/' => Some(Binding::Product),
        '^' => Some(Binding::Power),
        _ => None,
    }
}

fn operator_of(sign: char) -> Option<Operator> {
    match sign {
        '+' => Some(Operator::Add),
        '-' => Some(Operator::Subtract),
        '*' => Some(Operator::Multiply),
        '/' => Some(Operator::Divide),
        _ => None,
    }
}

fn comparison_of(sign: char) -> Option<Comparison> {
    match sign {
        '<' => Some(Comparison::Below),
        AT_MOST => Some(Comparison::AtMost),
        '>' => Some(Comparison::Above),
        AT_LEAST => Some(Comparison::AtLeast),
        _ => None,
    }
}

fn operation(operator: Operator, sign: Range<usize>, left: Node, right: Node) -> Node {
    let at = left.at.start..right.at.end;
    let (left, right) = (Box::new(left), Box::new(right));
    Node { at, kind: NodeKind::Operation { operator, sign, left, right } }
}

/// Puts a minus before an operand. A literal takes it in, so that `-5 degC` is a place on its scale
/// and `-10.00 V` stays exact.
fn negation(start: usize, operand: Node) -> Node {
    let at = start..operand.at.end;
    let kind = match operand.kind {
        NodeKind::Literal(literal) => {
            NodeKind::Literal(Quantity { value: literal.value.neg(), ..literal })
        }
        _ => NodeKind::Negation(Box::new(operand)),
    };
    Node { at, kind }
}
