fn main() {
    use polars::prelude::*;
    let f = CsvReader::new(std::io::Cursor::new(b"a,b\n1,2\n".to_vec()))
        .with_options(CsvReadOptions::default().with_infer_schema_length(Some(0)))
        .finish()
        .unwrap();
    println!("{:?}", f.shape());
}
