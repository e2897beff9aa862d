"""
Tables of readings as people keep them, invented, with what each says and what it leaves open.

A reading is written ``day kind amount``: kg, kcal, cm at a place, min of a session, steps; ``fed``
behind a mass that was not fasted. Amounts are worked by hand from 0.45359237 kg a pound, 14 pounds
a stone, 2.54 cm an inch and 4.184 kJ a kilocalorie.
"""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True)
class Kept:
    """One table with its client's mass, its readings, and the cells or columns to be asked."""

    text: str | bytes
    kg: float
    readings: tuple[str, ...]
    asked: tuple[str, ...] = ()
    """Cells, or days, of which something must be asked or left out."""
    columns: tuple[str, ...] = field(default=())
    """Columns, or topics, that must be asked about."""


def lines(text: str) -> tuple[str, ...]:
    """Part readings written one a line."""
    return tuple(line.strip() for line in text.strip().splitlines() if line.strip())


KEPT: dict[str, Kept] = {}

KEPT["weekday before date, food with units, a belt and two kinds of training"] = Kept(
    """Day,Date,Scales,food that day,belt line,training
Mon,02/11/2026,80.4,2400 kcal,86 cm,45 min
Tue,03/11/2026,80.6,9800 kJ,,rest
Wed,04/11/2026,80.2,ca. 2600 kcal,,1h15
Thu,05/11/2026,~80.5,approx 2300,86 cm,0:40
Fri,06/11/2026,,2450,,1 h
Sat,07/11/2026,n/a,-,34 in,run 50 min
Sun,08/11/2026,80.1,2500 kcal,,x
""",
    80.0,
    lines("""
2026-11-02 kg 80.4
2026-11-02 kcal 2400
2026-11-02 waist 86
2026-11-02 min 45
2026-11-03 kg 80.6
2026-11-03 kcal 2342.26
2026-11-04 kg 80.2
2026-11-04 kcal 2600
2026-11-04 min 75
2026-11-05 kg 80.5
2026-11-05 kcal 2300
2026-11-05 waist 86
2026-11-05 min 40
2026-11-06 kcal 2450
2026-11-06 min 60
2026-11-07 waist 86.36
2026-11-07 min 50
2026-11-08 kg 80.1
2026-11-08 kcal 2500
"""),
    columns=("belt line",),
)

KEPT["two heading rows with groups"] = Kept(
    """Autumn block;;;;;;
;Morning;;Eaten;Training;;
Date;kg;waist cm;kcal;lift min;run min;Notes
09.11.2026;62,4;71,5;2.150;60;;slept well
10.11.2026;62,1;;2.850;;35;
11.11.2026;26,3;;2.400;;;
12.11.2026;62,2;71;2.010;55;20;
13.11.2026;62,0;;2.300;400;;
14.11.2026;61,9;;204;;30;
15.11.2026;62,1;;2.250;60;;
""",
    62.0,
    lines("""
2026-11-09 kg 62.4
2026-11-09 waist 71.5
2026-11-09 kcal 2150
2026-11-09 min 60
2026-11-10 kg 62.1
2026-11-10 kcal 2850
2026-11-10 min 35
2026-11-11 kg 62.3
2026-11-11 kcal 2400
2026-11-12 kg 62.2
2026-11-12 waist 71
2026-11-12 kcal 2010
2026-11-12 min 55
2026-11-12 min 20
2026-11-13 kg 62.0
2026-11-13 kcal 2300
2026-11-13 min 40
2026-11-14 kg 61.9
2026-11-14 kcal 2040
2026-11-14 min 30
2026-11-15 kg 62.1
2026-11-15 kcal 2250
2026-11-15 min 60
"""),
    asked=("26,3", "400", "204"),
)

KEPT["one row a week"] = Kept(
    """Bodyweight log (lb)
Week starting,Mon,Tue,Wed,Thu,Fri,Sat,Sun,Avg
10/12/2026,151.2,151.0,150.8,,150.6,151.4,150.9,151.0
10/19/2026,150.7,150.5,115.2,150.4,150.2,x,150.6,145
10/26/2026,150.1,150.0,149.8,149.9,149.7,150.3,150.0,150
Average,150.7,150.5,,,,,,
""",
    68.5,
    lines("""
2026-10-12 lb 151.2
2026-10-13 lb 151.0
2026-10-14 lb 150.8
2026-10-16 lb 150.6
2026-10-17 lb 151.4
2026-10-18 lb 150.9
2026-10-19 lb 150.7
2026-10-20 lb 150.5
2026-10-21 lb 151.2
2026-10-22 lb 150.4
2026-10-23 lb 150.2
2026-10-25 lb 150.6
2026-10-26 lb 150.1
2026-10-27 lb 150.0
2026-10-28 lb 149.8
2026-10-29 lb 149.9
2026-10-30 lb 149.7
2026-10-31 lb 150.3
2026-11-01 lb 150.0
"""),
    asked=("115.2",),
)

KEPT["one row a week, kinds in rows"] = Kept(
    """w/c;what;Mo;Di;Mi;Do;Fr;Sa;So
02.11.2026;Gewicht;71,2;71,0;71,1;;70,9;71,3;71,0
;kcal;2100;2250;2000;2300;2150;2600;2400
09.11.2026;Gewicht;70,8;70,9;;70,7;70,6;71,0;70,8
;kcal;2050;2200;2100;;2000;2500;2300
""",
    71.0,
    lines("""
2026-11-02 kg 71.2
2026-11-03 kg 71.0
2026-11-04 kg 71.1
2026-11-06 kg 70.9
2026-11-07 kg 71.3
2026-11-08 kg 71.0
2026-11-02 kcal 2100
2026-11-03 kcal 2250
2026-11-04 kcal 2000
2026-11-05 kcal 2300
2026-11-06 kcal 2150
2026-11-07 kcal 2600
2026-11-08 kcal 2400
2026-11-09 kg 70.8
2026-11-10 kg 70.9
2026-11-12 kg 70.7
2026-11-13 kg 70.6
2026-11-14 kg 71.0
2026-11-15 kg 70.8
2026-11-09 kcal 2050
2026-11-10 kcal 2200
2026-11-11 kcal 2100
2026-11-13 kcal 2000
2026-11-14 kcal 2500
2026-11-15 kcal 2300
"""),
)

KEPT["one column a month"] = Kept(
    "Poids 2026 (kg)\nJour\tAoût\tSeptembre\tOctobre\n"
    "1\t91,2\t90,1\t89,0\n2\t91,0\t\t88,9\n3\t90,9\t90,0\t\n4\t\t89,8\t88,8\n5\t90,8\t89,9\t88,6\n"
    "30\t90,2\t89,2\t87,9\n31\t90,3\t89,1\t87,8\nMoyenne\t90,7\t89,8\t88,5\n",
    89.0,
    lines("""
2026-08-01 kg 91.2
2026-08-02 kg 91.0
2026-08-03 kg 90.9
2026-08-05 kg 90.8
2026-08-30 kg 90.2
2026-08-31 kg 90.3
2026-09-01 kg 90.1
2026-09-03 kg 90.0
2026-09-04 kg 89.8
2026-09-05 kg 89.9
2026-09-30 kg 89.2
2026-10-01 kg 89.0
2026-10-02 kg 88.9
2026-10-04 kg 88.8
2026-10-05 kg 88.6
2026-10-30 kg 87.9
2026-10-31 kg 87.8
"""),
    asked=("31",),
)

KEPT["days across, kinds down"] = Kept(
    """,16 Nov,17 Nov,18 Nov,19 Nov,20 Nov
Weight (kg),55.2,55.0,,55.1,54.9
Calories,1900,2050,1800,1950,n/a
Waist (cm),66,,,65.5,
Steps,8450,10200,6100,,9900
Gym,,50 min,,1 h,
""",
    55.0,
    lines("""
2026-11-16 kg 55.2
2026-11-17 kg 55.0
2026-11-19 kg 55.1
2026-11-20 kg 54.9
2026-11-16 kcal 1900
2026-11-17 kcal 2050
2026-11-18 kcal 1800
2026-11-19 kcal 1950
2026-11-16 waist 66
2026-11-19 waist 65.5
2026-11-16 steps 8450
2026-11-17 steps 10200
2026-11-18 steps 6100
2026-11-20 steps 9900
2026-11-17 min 50
2026-11-19 min 60
"""),
    columns=("year",),
)

KEPT["stones, fractions and slips"] = Kept(
    """Date | Weight | Waist
1 Nov 2026 | 12st 7 1/2 | 34 1/2
2 Nov 2026 | 12st 7 | ½
3 Nov 2026 | 12 st 6½ lb | 34½ in
4 Nov 2026 | 12.7 |
5 Nov 2026 | 12 stone 6 | 34.5
6 Nov 2026 | 175.0 |
7 Nov 2026 | 79.4 kg | 34
""",
    79.4,
    lines("""
2026-11-01 kg 79.606
2026-11-02 kg 79.379
2026-11-03 kg 79.152
2026-11-04 kg 79.379
2026-11-05 kg 78.925
2026-11-06 kg 79.379
2026-11-07 kg 79.4
2026-11-01 waist 87.63
2026-11-03 waist 87.63
2026-11-05 waist 87.63
2026-11-07 waist 86.36
"""),
    asked=("½", "12.7", "175.0"),
)

KEPT["unquoted decimal commas"] = Kept(
    """Date,Weight (kg),Waist (cm),kcal,Note
2026-11-02,70,8,84,2250,
2026-11-03,70,4,,2100,
2026-11-04,70,,2300,early
2026-11-05,70,1,83,5,2150,
2026-11-06,69,9,,1980,tired
2026-11-07,70,2,,2400,
""",
    70.0,
    lines("""
2026-11-02 kg 70.8
2026-11-02 waist 84
2026-11-02 kcal 2250
2026-11-03 kg 70.4
2026-11-03 kcal 2100
2026-11-04 kg 70
2026-11-04 kcal 2300
2026-11-05 kg 70.1
2026-11-05 waist 83.5
2026-11-05 kcal 2150
2026-11-06 kg 69.9
2026-11-06 kcal 1980
2026-11-07 kg 70.2
2026-11-07 kcal 2400
"""),
)

KEPT["units in single cells, remarks, a range and grams"] = Kept(
    """Datum;Uhrzeit;Gewicht;Bemerkung
01.11.2026;07:05;80,6;
02.11.2026;07:10;80800 g;
03.11.2026;06:55;80,7 lb;
04.11.2026;21:30;81,4 kg;nach dem Essen
04.11.2026;07:00;80,5;
05.11.2026;07:00;80-81;
06.11.2026;;80,6 kg (abends!);
07.11.2026;07:20;krank;Fieber
08.11.2026;07:00;80,2;
08.11.2026;07:00;80,2;
09.11.2026;07:00;805;
10.11.2026;07:00;79,9?;
""",
    80.5,
    lines("""
2026-11-01 kg 80.6
2026-11-02 kg 80.8
2026-11-03 kg 80.7
2026-11-04 kg 81.4 fed
2026-11-04 kg 80.5
2026-11-05 kg 80.5
2026-11-06 kg 80.6 fed
2026-11-08 kg 80.2
2026-11-09 kg 80.5
2026-11-10 kg 79.9
"""),
    asked=("80,7 lb", "80-81", "805", "79,9?"),
)

KEPT["thousands of kilocalories with one that lost its nought"] = Kept(
    """Fecha;Peso;Calorias;Pasos;Entrenamiento
2/11/26;74,3;2.790;8.120;correr 40 min
3/11/26;74,1;2.81;9.400;pesas 1h
4/11/26;74,4;3.120;12.050;
5/11/26;73,9;2.640;7.800;descanso
16/11/26;74,0;2.700;8.300;pesas 55 min
17/11/26;73,8;2.900;10.100;correr 1h05
""",
    74.0,
    lines("""
2026-11-02 kg 74.3
2026-11-02 kcal 2790
2026-11-02 steps 8120
2026-11-02 min 40
2026-11-03 kg 74.1
2026-11-03 kcal 2810
2026-11-03 steps 9400
2026-11-03 min 60
2026-11-04 kg 74.4
2026-11-04 kcal 3120
2026-11-04 steps 12050
2026-11-05 kg 73.9
2026-11-05 kcal 2640
2026-11-05 steps 7800
2026-11-16 kg 74.0
2026-11-16 kcal 2700
2026-11-16 steps 8300
2026-11-16 min 55
2026-11-17 kg 73.8
2026-11-17 kcal 2900
2026-11-17 steps 10100
2026-11-17 min 65
"""),
    asked=("2.81",),
)

KEPT["slips in dates"] = Kept(
    """Date,Weekday,Weight kg,Energy kcal
28/09/2026,Mon,66.2,2400
29/09/2026,Tue,66.0,2350
30/09/2026,Wed,66.1,2500
31/09/2026,Thu,66.3,2450
02/10/2026,Fri,65.9,2300
03/10/2062,Sat,66.0,2600
04/10/2026,Sun,65.8,2550
05/10/2026,Wed,65.9,2400
06/10/2026,Tue,65.7,2350
07/12/2026,Wed,65.8,2450
08/10/2026,Thu,65.6,2400
""",
    66.0,
    lines("""
2026-09-28 kg 66.2
2026-09-29 kg 66.0
2026-09-30 kg 66.1
2026-10-01 kg 66.3
2026-10-02 kg 65.9
2026-10-03 kg 66.0
2026-10-04 kg 65.8
2026-10-05 kg 65.9
2026-10-06 kg 65.7
2026-10-07 kg 65.8
2026-10-08 kg 65.6
2026-09-28 kcal 2400
2026-09-29 kcal 2350
2026-09-30 kcal 2500
2026-10-01 kcal 2450
2026-10-02 kcal 2300
2026-10-03 kcal 2600
2026-10-04 kcal 2550
2026-10-05 kcal 2400
2026-10-06 kcal 2350
2026-10-07 kcal 2450
2026-10-08 kcal 2400
"""),
    asked=("31/09/2026", "03/10/2062", "05/10/2026", "07/12/2026"),
)

KEPT["American dates by the month's run, pounds, time in the date"] = Kept(
    """timestamp,weight (lbs),body fat %,source
10/3/2026 6:45 AM,172.4,18.1,scale
10/4/2026 6:50 AM,172.0,18.0,scale
10/5/2026 9:15 PM,174.2,18.4,scale
10/6/2026 6:40 AM,171.8,17.9,scale
10/7/2026 6:42 AM,711.6,17.9,scale
10/8/2026 6:44 AM,171.2,17.8,scale
""",
    78.0,
    lines("""
2026-10-03 lb 172.4
2026-10-04 lb 172.0
2026-10-05 lb 174.2 fed
2026-10-06 lb 171.8
2026-10-07 lb 171.6
2026-10-08 lb 171.2
"""),
    asked=("711.6",),
)

KEPT["sections by month, days alone, weights both ways"] = Kept(
    """Weight diary

October 2026
Day,kg,lb
29,84.3,185.8
30,84.1,185.4
31,84.0,185.2
November 2026
1,83.9,185.0
2,83.8,148.7
3,,184.5
Mean,84.0,
lost so far,0.6,
""",
    84.0,
    lines("""
2026-10-29 kg 84.3
2026-10-30 kg 84.1
2026-10-31 kg 84.0
2026-11-01 kg 83.9
2026-11-02 kg 83.8
2026-11-03 lb 184.5
"""),
)

KEPT["kilojoules, left and right, inches in the heading, UTF-16"] = Kept(
    (
        "Date\tIntake (kJ)\tL thigh (in)\tR thigh (in)\tChest (in)\tneck\n"
        "2026-11-02\t9200\t22.5\t22.75\t38\t36.5 cm\n"
        "2026-11-03\t10,100\t\t\t\t\n"
        "2026-11-04\t2250 kcal\t22.5\t22 3/4\t38 1/4\t36.5 cm\n"
        "2026-11-05\t8,900\t\t\t\t\n"
    ).encode("utf-16"),
    70.0,
    lines("""
2026-11-02 kcal 2198.85
2026-11-03 kcal 2413.96
2026-11-04 kcal 2250
2026-11-05 kcal 2127.15
2026-11-02 left thigh 57.15
2026-11-02 right thigh 57.785
2026-11-02 chest 96.52
2026-11-02 neck 36.5
2026-11-04 left thigh 57.15
2026-11-04 right thigh 57.785
2026-11-04 chest 97.155
2026-11-04 neck 36.5
"""),
)

KEPT["Windows code page, quoted cells over two lines"] = Kept(
    (
        "Päivämäärä;Paino (kg);Vyötärö (cm);Huomio\r\n"
        '2.11.2026;58,4;70;"hyvä yö,\r\nei kahvia"\r\n'
        "3.11.2026;58,2;;\r\n"
        '4.11.2026;58,5;69,5;"illalla ""pizza"""\r\n'
        "5.11.2026;85,3;;\r\n"
        "6.11.2026;58,1;;\r\n"
    ).encode("cp1252"),
    58.0,
    lines("""
2026-11-02 kg 58.4
2026-11-02 waist 70
2026-11-03 kg 58.2
2026-11-04 kg 58.5
2026-11-04 waist 69.5
2026-11-05 kg 58.3
2026-11-06 kg 58.1
"""),
    asked=("85,3",),
)

KEPT["a spreadsheet's day numbers, a units row, a moving mean"] = Kept(
    "\ufeffDate,Weight,7 day average,Eaten,Exercise\n,kg,kg,kcal,min\n"
    "46328,77.2,77.4,2500,30\n46329,77.0,77.3,2450,\n46330,77.5,77.3,2700,45\n"
    "46331,76.9,77.2,2400,\n46332,,77.1,24000,60\n46333,76.8,77.1,2550,1.5\n",
    77.0,
    lines("""
2026-11-02 kg 77.2
2026-11-03 kg 77.0
2026-11-04 kg 77.5
2026-11-05 kg 76.9
2026-11-07 kg 76.8
2026-11-02 kcal 2500
2026-11-03 kcal 2450
2026-11-04 kcal 2700
2026-11-05 kcal 2400
2026-11-06 kcal 2400
2026-11-07 kcal 2550
2026-11-02 min 30
2026-11-04 min 45
2026-11-06 min 60
2026-11-07 min 90
"""),
    asked=("24000", "1.5"),
)

KEPT["no heading at all"] = Kept(
    "2026-11-10;64,2;2100\n2026-11-11;64,0;2250\n2026-11-12;64,3;1990\n2026-11-13;46,1;2200\n"
    "2026-11-14;64,1;2300\n",
    64.0,
    lines("""
2026-11-10 kg 64.2
2026-11-11 kg 64.0
2026-11-12 kg 64.3
2026-11-13 kg 64.1
2026-11-14 kg 64.1
"""),
    asked=("46,1",),
    columns=("column",),
)

KEPT["two tables below each other"] = Kept(
    """Date,Weight kg
2026-11-02,93.1
2026-11-03,92.8
2026-11-04,92.9

Date,Waist cm,Hip cm
2026-11-02,101,108
2026-11-09,100,107.5
2026-11-16,110,107
2026-11-23,99,106.5
""",
    93.0,
    lines("""
2026-11-02 kg 93.1
2026-11-03 kg 92.8
2026-11-04 kg 92.9
2026-11-02 waist 101
2026-11-02 hip 108
2026-11-09 waist 100
2026-11-09 hip 107.5
2026-11-16 waist 101
2026-11-16 hip 107
2026-11-23 waist 99
2026-11-23 hip 106.5
"""),
    asked=("110",),
)

KEPT["two tables side by side"] = Kept(
    """Date,Weight,,Date,Weight
02/11/2026,68.4,,16/11/2026,68.0
03/11/2026,68.2,,17/11/2026,67.9
04/11/2026,68.5,,18/11/2026,68.1
05/11/2026,68.3,,,
""",
    68.0,
    lines("""
2026-11-02 kg 68.4
2026-11-03 kg 68.2
2026-11-04 kg 68.5
2026-11-05 kg 68.3
2026-11-16 kg 68.0
2026-11-17 kg 67.9
2026-11-18 kg 68.1
"""),
    columns=("mass unit",),
)

KEPT["newest first, no year, weekday in the cell, French"] = Kept(
    """Date;Poids;Tour de taille;Sport;Remarques
dim. 15 nov.;59,8;;;
sam. 14 nov.;60,1;72;course 45 min;resto la veille
ven. 13 nov.;59,9;;repos;
jeu. 12 nov.;60,0;;natation 1 h;
mer. 11 nov.;;;;oublié
mar. 10 nov.;60,2;72,5;course 0h50;
lun. 9 nov.;60,3;;;
""",
    60.0,
    lines("""
2026-11-15 kg 59.8
2026-11-14 kg 60.1
2026-11-13 kg 59.9
2026-11-12 kg 60.0
2026-11-10 kg 60.2
2026-11-09 kg 60.3
2026-11-14 waist 72
2026-11-10 waist 72.5
2026-11-14 min 45
2026-11-12 min 60
2026-11-10 min 50
"""),
    asked=("oublié",),
)

KEPT["a year that turns, dates without it"] = Kept(
    """When,BW,Cals
29 Dec,88.4,2600
30 Dec,88.2,2500
31 Dec,,3900
2 Jan,89.0,2400
3 Jan,88.7,2350
4 Jan,88.5,2450
""",
    88.0,
    lines("""
2025-12-29 kg 88.4
2025-12-30 kg 88.2
2026-01-02 kg 89.0
2026-01-03 kg 88.7
2026-01-04 kg 88.5
2025-12-29 kcal 2600
2025-12-30 kcal 2500
2025-12-31 kcal 3900
2026-01-02 kcal 2400
2026-01-03 kcal 2350
2026-01-04 kcal 2450
"""),
    columns=("year",),
)

KEPT["stones and pounds in two columns, morning and evening"] = Kept(
    """Date,st,lb,Evening kg
Mon 2 Nov 2026,11,4,72.6
Tue 3 Nov 2026,11,3.5,72.4
Wed 4 Nov 2026,11,4.5,
Thu 5 Nov 2026,11,3,72.1
""",
    71.6,
    lines("""
2026-11-02 kg 71.668
2026-11-03 kg 71.441
2026-11-04 kg 71.895
2026-11-05 kg 71.214
2026-11-02 kg 72.6 fed
2026-11-03 kg 72.4 fed
2026-11-05 kg 72.1 fed
"""),
)

KEPT["an export with every column there is"] = Kept(
    """"date","time","body mass","target","change","calories","calories burned",\
"protein","sleep (h)","workout","duration (min)","mood"
"2026-11-02","07:02:11","78.10","75","0","2,410","2,900","150","7.5","lifting","62","4"
"2026-11-03","07:10:43","77.90","75","-0.2","2,350","2,700","140","6.8","","","3"
"2026-11-04","07:05:00","77.60","75","-0.3","2,500","3,100","155","7.9","running","35","4"
"2026-11-05","","","75","","2,280","2,650","132","7.1","","",""
""",
    78.0,
    lines("""
2026-11-02 kg 78.1
2026-11-03 kg 77.9
2026-11-04 kg 77.6
2026-11-02 kcal 2410
2026-11-03 kcal 2350
2026-11-04 kcal 2500
2026-11-05 kcal 2280
2026-11-02 min 62
2026-11-04 min 35
"""),
    columns=("mass unit",),
)

KEPT["columns by blanks, a missing date, a future one"] = Kept(
    """Date          Weight    Tummy cm
20 Nov 2026   95.4      104
21 Nov 2026   95.1
22 Nov 2026   95.6      103.5
23 Dec 2026   95.2
24 Nov 2026   95.0      103
""",
    95.0,
    lines("""
2026-11-20 kg 95.4
2026-11-21 kg 95.1
2026-11-22 kg 95.6
2026-11-23 kg 95.2
2026-11-24 kg 95.0
2026-11-20 abdomen 104
2026-11-22 abdomen 103.5
2026-11-24 abdomen 103
"""),
    asked=("23 Dec 2026",),
    columns=("Tummy cm",),
)

KEPT["a second weigh-in of a day without a date"] = Kept(
    """Datum,tid,vikt,ätit,träning
2026-11-09,07.00,"69,3",2200 kcal,löpning 30 min
,20.00,"70,4",,
2026-11-10,07.00,"69,1",2350 kcal,
2026-11-11,07.00,"69,4",9,4 MJ,styrka 45 min
2026-11-12,07.00,"69,0",2250 kcal,2 x 30 min
""",
    69.0,
    lines("""
2026-11-09 kg 69.3
2026-11-09 kcal 2200
2026-11-09 min 30
2026-11-09 kg 70.4 fed
2026-11-10 kg 69.1
2026-11-10 kcal 2350
2026-11-11 kg 69.4
2026-11-11 kcal 2246.65
2026-11-11 min 45
2026-11-12 kg 69.0
2026-11-12 kcal 2250
2026-11-12 min 60
"""),
    asked=("20.00, 70,4",),
)
