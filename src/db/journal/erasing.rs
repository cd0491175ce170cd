//! Erases people from the entries. Only this changes old ones.

use super::waiting::keep;
use crate::db::tx::Tx;
use crate::error::Result;
use serde_json::Value;

/// Erases a person from the journal. It still says that something happened, when, and who
/// did it.
pub async fn forget(tx: &mut Tx, subject: &str, ids: &[i64], called: &str) -> Result<()> {
    let waiting = std::mem::take(&mut tx.entries);
    keep(&mut tx.connection, &waiting).await?;
    let list = serde_json::to_string(ids)?;
    let about = sqlx::query!(
        "select title, before, after from journal where subject = ? and subject_id in (select value from json_each(?))",
        subject,
        list
    )
    .fetch_all(&mut tx.connection)
    .await?;
    let mut words: Vec<String> = Vec::new();
    for row in about {
        words.push(row.title);
        for told in [row.before, row.after].into_iter().flatten() {
            let told: Value = serde_json::from_str(&told)?;
            words.extend(
                ["name", "mail", "phone", "was also"].iter().filter_map(|f| told[f].as_str().map(str::to_owned)),
            );
        }
    }
    sqlx::query!(
        "update journal set title = ?, before = null, after = null
         where subject = ? and subject_id in (select value from json_each(?))",
        called,
        subject,
        list
    )
    .execute(&mut tx.connection)
    .await?;
    forget_words(tx, &words, called).await
}

/// Replaces these words with a name that reveals nothing, wherever an entry holds one.
pub async fn forget_words(tx: &mut Tx, words: &[String], called: &str) -> Result<()> {
    let mut words: Vec<&str> = words.iter().map(String::as_str).filter(|word| !word.is_empty()).collect();
    words.sort_by_key(|word| (std::cmp::Reverse(word.len()), *word));
    words.dedup();
    for word in words {
        // As it is written inside an object, where quotation marks are escaped.
        let inside = serde_json::to_string(word)?;
        let inside = &inside[1..inside.len() - 1];
        let rows = sqlx::query!(
            r#"select id as "id!", title, before, after from journal
               where instr(title, ?) or instr(before, ?) or instr(after, ?)"#,
            word,
            inside,
            inside
        )
        .fetch_all(&mut tx.connection)
        .await?;
        for row in rows {
            let title = without(&row.title, word, called);
            let before = row.before.map(|told| without(&told, inside, called));
            let after = row.after.map(|told| without(&told, inside, called));
            sqlx::query!(
                "update journal set title = ?, before = ?, after = ? where id = ?",
                title,
                before,
                after,
                row.id
            )
            .execute(&mut tx.connection)
            .await?;
        }
    }
    Ok(())
}

/// The text with this word replaced where it is a word of its own. "Ana" is not part of
/// "Banana", and the Ana in "Ana Ruiz" may be someone else.
fn without(text: &str, word: &str, called: &str) -> String {
    if word.chars().all(char::is_alphabetic) {
        let whole = |word: &str| format!("\"{word}\"");
        return if text == word { called.to_owned() } else { text.replace(&whole(word), &whole(called)) };
    }
    let mut rest = text;
    let mut new = String::with_capacity(text.len());
    while let Some(place) = rest.find(word) {
        let (before, from) = rest.split_at(place);
        let after = &from[word.len()..];
        new.push_str(before);
        let is_part = new.chars().next_back().is_some_and(char::is_alphanumeric)
            || after.chars().next().is_some_and(char::is_alphanumeric);
        new.push_str(if is_part { word } else { called });
        rest = after;
    }
    new + rest
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_is_replaced_where_it_is_a_word_of_its_own() {
        assert_eq!(without("Ana Lu asked Banana Lu, Ana Lu.", "Ana Lu", "N"), "N asked Banana Lu, N.");
        assert_eq!(without("Ana", "Ana", "N"), "N");
        assert_eq!(without("Ana Ruiz", "Ana", "N"), "Ana Ruiz");
        assert_eq!(without("{\"who\":\"Ana\"}", "Ana", "N"), "{\"who\":\"N\"}");
        assert_eq!(without("ñ555-0117, 555-0117", "555-0117", "N"), "ñ555-0117, N");
    }
}
