//! Rust text with comments and literals blanked, so that rules see code only.
//!
//! A small scanner, not a parser: it knows comments (nested too), strings (raw and byte ones too),
//! characters and lifetimes. Lines keep their numbers, and every character its place.

/// The code of a Rust file.
pub(super) struct Code {
    /// Line by line, comments and literals replaced by blanks.
    pub(super) lines: Vec<String>,
    /// Whether the line belongs to an item under `#[cfg(test)]`.
    pub(super) test: Vec<bool>,
}

impl Code {
    pub(super) fn new(text: &str) -> Self {
        let masked = mask(text);
        let lines: Vec<String> = masked.lines().map(str::to_owned).collect();
        let test = test_lines(&lines);
        Self { lines, test }
    }
}

/// Blanks comments and literals; keeps line breaks.
fn mask(text: &str) -> String {
    let chars: Vec<char> = text.chars().collect();
    let mut out = String::with_capacity(text.len());
    let mut i = 0;
    while i < chars.len() {
        let end = literal_end(&chars, i);
        if end == i {
            out.push(chars[i]);
            i += 1;
        } else {
            out.extend(chars[i..end].iter().map(|&c| if c == '\n' { '\n' } else { ' ' }));
            i = end;
        }
    }
    out
}

/// Where the comment or literal that begins at `i` ends; `i` itself if none begins there.
fn literal_end(chars: &[char], i: usize) -> usize {
    let at = |k: usize| chars.get(k).copied().unwrap_or('\0');
    let in_word = i > 0 && is_word(at(i - 1));
    match at(i) {
        '/' if at(i + 1) == '/' => (i..chars.len()).find(|&k| chars[k] == '\n').unwrap_or(chars.len()),
        '/' if at(i + 1) == '*' => block_comment_end(chars, i),
        '"' => string_end(chars, i + 1),
        'b' | 'c' if !in_word && at(i + 1) == '"' => string_end(chars, i + 2),
        'b' | 'c' if !in_word && at(i + 1) == 'r' => raw_end(chars, i + 2).unwrap_or(i),
        'r' if !in_word => raw_end(chars, i + 1).unwrap_or(i),
        '\'' if at(i + 1) == '\\' => {
            (i + 3..chars.len()).find(|&k| chars[k] == '\'').map_or(chars.len(), |k| k + 1)
        }
        // Anything else behind a single quote is a lifetime.
        '\'' if at(i + 2) == '\'' => i + 3,
        _ => i,
    }
}

fn block_comment_end(chars: &[char], start: usize) -> usize {
    let (mut depth, mut i) = (0_usize, start);
    while i + 1 < chars.len() {
        match (chars[i], chars[i + 1]) {
            ('/', '*') => {
                depth += 1;
                i += 2;
            }
            ('*', '/') => {
                depth -= 1;
                i += 2;
                if depth == 0 {
                    return i;
                }
            }
            _ => i += 1,
        }
    }
    chars.len()
}

fn string_end(chars: &[char], start: usize) -> usize {
    let mut i = start;
    while i < chars.len() {
        match chars[i] {
            '\\' => i += 2,
            '"' => return i + 1,
            _ => i += 1,
        }
    }
    chars.len()
}

/// `start` is behind the `r`; nothing if no raw string begins there.
fn raw_end(chars: &[char], start: usize) -> Option<usize> {
    let hashes = chars[start.min(chars.len())..].iter().take_while(|&&c| c == '#').count();
    if chars.get(start + hashes) != Some(&'"') {
        return None;
    }
    let mut i = start + hashes + 1;
    while i < chars.len() {
        if chars[i] == '"' && chars[i + 1..].iter().take(hashes).filter(|&&c| c == '#').count() == hashes {
            return Some(i + 1 + hashes);
        }
        i += 1;
    }
    Some(chars.len())
}

/// Marks the item behind every `#[cfg(test)]`, up to its closing brace or semicolon.
fn test_lines(lines: &[String]) -> Vec<bool> {
    let mut test = vec![false; lines.len()];
    let (mut depth, mut armed, mut inside) = (0_i32, false, None);
    for (number, line) in lines.iter().enumerate() {
        let attribute = line.find("#[cfg(test)]").map(|at| at + "#[cfg(test)]".len());
        armed |= attribute.is_some() && inside.is_none();
        test[number] = armed || inside.is_some();
        for (at, c) in line.char_indices() {
            match c {
                '{' => {
                    if armed && at >= attribute.unwrap_or(0) {
                        armed = false;
                        inside = Some(depth);
                    }
                    depth += 1;
                }
                '}' => {
                    depth -= 1;
                    if inside == Some(depth) {
                        inside = None;
                    }
                }
                ';' if inside.is_none() && at >= attribute.unwrap_or(0) => armed = false,
                _ => {}
            }
        }
    }
    test
}

/// Part of an identifier?
pub(super) fn is_word(c: char) -> bool {
    c.is_alphanumeric() || c == '_'
}

/// Where `word` stands in the line as a whole identifier.
pub(super) fn find_word(line: &str, word: &str) -> Option<usize> {
    let bounded = |at: usize| {
        let before = line[..at].chars().next_back();
        let after = line[at + word.len()..].chars().next();
        !before.is_some_and(is_word) && !after.is_some_and(is_word)
    };
    line.match_indices(word).map(|(at, _)| at).find(|&at| bounded(at))
}

#[cfg(test)]
mod tests {
    use super::{Code, find_word, mask};

    #[test]
    fn comments_and_literals_vanish_and_code_stays() {
        let words = |text: &str| mask(text).split_whitespace().collect::<Vec<_>>().join(" ");
        assert_eq!(words("a // std::fs\nb"), "a b");
        assert_eq!(words("f(\"x \\\" y\")+1"), "f( )+1");
        assert_eq!(words("f(b\"x\", '\\'', '\"')"), "f( , , )");
    }

    #[test]
    fn a_lifetime_is_not_a_character() {
        assert_eq!(mask("fn f<'a>(x: &'a str) { '{'; }"), "fn f<'a>(x: &'a str) {    ; }");
    }

    #[test]
    fn raw_strings_and_nested_comments_end_where_they_should() {
        assert_eq!(mask("r#\"a\"b\"#;x").trim_start(), ";x");
        assert_eq!(mask("/* a /* b */ c */x").trim_start(), "x");
    }

    #[test]
    fn the_item_under_cfg_test_is_marked_and_what_follows_is_not() {
        let code = Code::new("fn a() {}\n#[cfg(test)]\nmod tests {\n fn b() {}\n}\nfn c() {}\n");
        assert_eq!(code.test, [false, true, true, true, true, false]);
    }

    #[test]
    fn a_module_in_another_file_ends_at_its_semicolon() {
        let code = Code::new("#[cfg(test)]\nmod tests;\nfn c() {}\n");
        assert_eq!(code.test, [true, true, false]);
    }

    #[test]
    fn words_are_whole() {
        assert_eq!(find_word("let unsafety = 1;", "unsafe"), None);
        assert_eq!(find_word("x unsafe {", "unsafe"), Some(2));
    }
}
