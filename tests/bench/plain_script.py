"""The plain script a handy teacher would write, beside ours: cron runs `read` each minute, `night` at 20:00.

    * * * * *  python plain_script.py read DATABASE
    0 20 * * * python plain_script.py night DATABASE PORT

It keeps readings and draws them; it knows nothing of hatching, water or trouble. `SENSORS` stands for the
kernel's folder, which the bench lays out elsewhere.
"""

import os
import sqlite3
import sys
import time
from pathlib import Path


def read(database: str) -> None:
    """Every thermometer once, into the database."""
    os.environ["W1THERMSENSOR_NO_KERNEL_MODULE"] = "1"
    from w1thermsensor import W1ThermSensor

    if "SENSORS" in os.environ:
        W1ThermSensor.BASE_DIRECTORY = Path(os.environ["SENSORS"])
    now = int(os.environ.get("NOW", time.time()))
    connection = sqlite3.connect(database)
    connection.execute("CREATE TABLE IF NOT EXISTS temperature (time INTEGER, sensor TEXT, celsius REAL)")
    for sensor in W1ThermSensor.get_available_sensors():
        connection.execute(
            "INSERT INTO temperature VALUES (?, ?, ?)", (now, sensor.id, sensor.get_temperature())
        )
    connection.commit()


def night(database: str, port: str) -> None:
    """The last day as a picture, by mail."""
    import smtplib
    from email.message import EmailMessage

    import matplotlib

    matplotlib.use("Agg")
    import matplotlib.pyplot as plt

    since = int(os.environ.get("NOW", time.time())) - 86_400
    connection = sqlite3.connect(database)
    for (sensor,) in connection.execute("SELECT DISTINCT sensor FROM temperature").fetchall():
        query = "SELECT time, celsius FROM temperature WHERE sensor = ? AND time > ? ORDER BY time"
        rows = connection.execute(query, (sensor, since)).fetchall()
        plt.plot([row[0] for row in rows], [row[1] for row in rows], label=sensor)
    plt.legend()
    plt.savefig(Path(database).with_name("chart.png"), dpi=100)
    message = EmailMessage()
    message["Subject"], message["From"], message["To"] = "Cups", "a@school.example", "b@school.example"
    message.set_content("Today's temperatures.")
    picture = Path(database).with_name("chart.png").read_bytes()
    message.add_attachment(picture, maintype="image", subtype="png", filename="chart.png")
    with smtplib.SMTP("127.0.0.1", int(port)) as server:
        server.send_message(message)


if __name__ == "__main__":
    {"read": read, "night": night}[sys.argv[1]](*sys.argv[2:])
