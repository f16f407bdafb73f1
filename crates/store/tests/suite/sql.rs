//! What no caller of the store can ask or do.

use sqlx::postgres::PgPool;
use sqlx::sqlite::SqlitePool;
use sqlx::{AssertSqlSafe, Row};

/// The one number that a query gives.
pub(super) async fn number(address: &str, query: &'static str) -> i64 {
    if address.starts_with("postgres") {
        let pool = PgPool::connect(address).await.unwrap();
        let number = sqlx::query(query).fetch_one(&pool).await.unwrap().get(0);
        pool.close().await;
        number
    } else {
        let pool = SqlitePool::connect(address).await.unwrap();
        let number = sqlx::query(query).fetch_one(&pool).await.unwrap().get(0);
        pool.close().await;
        number
    }
}

/// Runs a statement behind the store's back.
pub(super) async fn execute(address: &str, statement: impl Into<String>) {
    // The statements of these tests, not anybody's input.
    let statement = AssertSqlSafe(statement.into());
    if address.starts_with("postgres") {
        let pool = PgPool::connect(address).await.unwrap();
        sqlx::query(statement).execute(&pool).await.unwrap();
        pool.close().await;
    } else {
        let pool = SqlitePool::connect(address).await.unwrap();
        sqlx::query(statement).execute(&pool).await.unwrap();
        pool.close().await;
    }
}
